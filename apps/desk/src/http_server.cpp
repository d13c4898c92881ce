#include "http_server.h"

#include <fcntl.h>
#include <netinet/tcp.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <unistd.h>

#include "connection.h"

namespace endpin::desk {
namespace {

// More than 64 clients and the streams of events; a thread costs little while it waits.
constexpr std::size_t most_connections = 96;
constexpr std::size_t longest_target = 4096;

// No script, style, frame or address but the desk's own; the listening core is WebAssembly.
constexpr const char* content_policy =
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data: blob:; media-src 'self' blob:; font-src 'self' data:; connect-src "
    "'self'; "
    "worker-src 'self' blob:; manifest-src 'self'; frame-src 'self'; frame-ancestors 'self'; "
    "base-uri 'none'; form-action 'none'";

struct OpenFile {
  int handle = -1;
  explicit OpenFile(int from) : handle(from) {}
  ~OpenFile() { ::close(handle); }
};

struct Span {
  std::int64_t from = 0;
  std::int64_t to = 0;  ///< one past the last byte
};

// One range of RFC 9110, section 14; several, or what is no range, mean the whole. Nothing: it lies
// outside.
std::optional<Span> wanted_span(const std::string& range, std::int64_t size, bool& partial) {
  partial = false;
  const Span whole{0, size};
  if (range.rfind("bytes=", 0) != 0 || range.find(',') != std::string::npos) return whole;
  const std::size_t dash = range.find('-');
  if (dash == std::string::npos) return whole;
  const std::string first = range.substr(6, dash - 6);
  const std::string last = range.substr(dash + 1);
  const auto digits = [](const std::string& text) {
    return !text.empty() && text.size() < 16 &&
           text.find_first_not_of("0123456789") == std::string::npos;
  };
  if ((!first.empty() && !digits(first)) || (!last.empty() && !digits(last))) return whole;
  if (first.empty() && last.empty()) return whole;
  Span span;
  if (first.empty()) {
    span = {std::max<std::int64_t>(0, size - std::stoll(last)), size};
  } else {
    span = {std::stoll(first),
            last.empty() ? size : std::min<std::int64_t>(size, std::stoll(last) + 1)};
  }
  if (span.from >= span.to) return std::nullopt;
  partial = true;
  return span;
}

bool send_piece(int handle, std::size_t at, std::size_t length, httplib::DataSink& sink) {
  std::array<char, 65536> block;
  const ssize_t got =
      ::pread(handle, block.data(), std::min(length, block.size()), static_cast<off_t>(at));
  return got > 0 && sink.write(block.data(), static_cast<std::size_t>(got));
}

void send_file(const Answer& answer, const std::string& range, httplib::Response& response) {
  const auto file =
      std::make_shared<OpenFile>(::open(answer.file->path.c_str(), O_RDONLY | O_CLOEXEC));
  struct stat facts {};
  if (file->handle < 0 || ::fstat(file->handle, &facts) != 0 || !S_ISREG(facts.st_mode)) {
    response.status = 404;
    response.set_content(no_such("file").body, "application/json");
    return;
  }
  const std::int64_t size = facts.st_size;
  response.set_header("Accept-Ranges", "bytes");
  bool partial = false;
  const auto span = wanted_span(range, size, partial);
  if (!span) {
    response.status = 416;
    response.set_header("Content-Range", "bytes */" + std::to_string(size));
    return;
  }
  if (partial) {
    response.status = 206;
    response.set_header("Content-Range", "bytes " + std::to_string(span->from) + "-" +
                                             std::to_string(span->to - 1) + "/" +
                                             std::to_string(size));
  }
  if (size == 0) return response.set_content("", answer.type);
  const auto base = static_cast<std::size_t>(span->from);
  response.set_content_provider(
      static_cast<std::size_t>(span->to - span->from), answer.type,
      [file, base](std::size_t offset, std::size_t length, httplib::DataSink& sink) {
        return send_piece(file->handle, base + offset, length, sink);
      });
}

void send_stream(const Answer& answer, httplib::Response& response) {
  response.set_chunked_content_provider(
      answer.type, [stream = answer.stream](std::size_t, httplib::DataSink& sink) {
        const bool more = stream([&sink](std::string_view piece) {
          return sink.is_writable() && sink.write(piece.data(), piece.size());
        });
        if (!more) sink.done();
        return true;
      });
}

void send(const Answer& answer, const httplib::Request& request, httplib::Response& response) {
  response.status = answer.status;
  for (const auto& [name, value] : answer.headers) {
    response.headers.erase(name);  // a default of the server
    response.set_header(name, value);
  }
  if (answer.file) return send_file(answer, request.get_header_value("Range"), response);
  if (answer.stream) return send_stream(answer, response);
  if (!answer.type.empty()) response.set_content(answer.body, answer.type);
}

Call read_call(const httplib::Request& request) {
  Call call;
  call.method = request.method;
  call.path = request.path;
  call.remote = request.remote_addr;
  for (const auto& [name, value] : request.params) call.query.emplace(name, value);
  call.header = [&request](const char* name) { return request.get_header_value(name); };
  call.body_bytes = std::strtoll(request.get_header_value("Content-Length").c_str(), nullptr, 10);
  call.read_body = [](const Call::Sink&) { return true; };
  return call;
}

// What a body may look like; anything else could be read in two ways.
bool plain_body(const httplib::Request& request) {
  if (request.has_header("Transfer-Encoding")) return false;
  if (request.get_header_value_count("Content-Length") > 1) return false;
  const std::string length = request.get_header_value("Content-Length");
  return length.size() < 16 && length.find_first_not_of("0123456789") == std::string::npos;
}

}  // namespace

class HttpServer::Library : public httplib::Server {
 public:
  Library(Answerer answer, const ConnectionLimits& limits)
      : answer_(std::move(answer)), limits_(limits) {
    new_task_queue = [] { return new httplib::ThreadPool(most_connections); };
    set_payload_max_length(std::size_t{2} << 30);
    set_tcp_nodelay(true);
    set_socket_options([](socket_t socket) {
      const int yes = 1;
      setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    });
    set_default_headers({{"Content-Security-Policy", content_policy},
                         {"X-Content-Type-Options", "nosniff"},
                         {"Referrer-Policy", "no-referrer"},
                         {"Cross-Origin-Opener-Policy", "same-origin"},
                         {"Cross-Origin-Resource-Policy", "same-origin"},
                         {"Cache-Control", "no-store"}});
    add_handlers();
  }

  std::atomic<bool> stopping{false};

  void answer_on(socket_t socket) { process_and_close_socket(socket); }

 private:
  void add_handlers() {
    const std::string any = ".*";
    set_pre_routing_handler([this](const httplib::Request& request, httplib::Response& response) {
      if (request.method != "GET" && request.method != "HEAD") {
        return httplib::Server::HandlerResponse::Unhandled;
      }
      Call call = read_call(request);
      send(answered(call), request, response);
      return httplib::Server::HandlerResponse::Handled;
    });
    const auto with_body = [this](const httplib::Request& request, httplib::Response& response,
                                  const httplib::ContentReader& reader) {
      Call call = read_call(request);
      call.read_body = [&reader](const Call::Sink& sink) {
        return reader([&sink](const char* data, std::size_t size) {
          return sink(std::string_view(data, size));
        });
      };
      send(answered(call), request, response);
    };
    Post(any, with_body);
    Put(any, with_body);
    Patch(any, with_body);
    Delete(any, with_body);
    Delete(any, [this](const httplib::Request& request, httplib::Response& response) {
      Call call = read_call(request);
      send(answered(call), request, response);
    });
  }

  Answer answered(Call& call) {
    try {
      return answer_(call);
    } catch (const std::exception& failure) {
      return refuse(500, Error{ErrorKind::machine, "", "", failure.what(),
                               "This is a fault of the program: please report it."});
    }
  }

  bool process_and_close_socket(socket_t socket) override {
    Connection connection(socket, limits_, stopping);
    while (connection.wait_for_request()) {
      bool closed = false;
      bool refused = false;
      const bool written = process_request(
          connection, false, closed,
          [&](httplib::Request& request) { refused = !prepare(connection, request); });
      if (!written) break;
      const bool whole = connection.body_was_read();
      // The answer is on its way; closing before the rest has come would cut it off.
      if (!whole) connection.discard_body();
      if (closed || refused || !whole) break;
    }
    ::shutdown(socket, SHUT_RDWR);
    ::close(socket);
    return true;
  }

  // False: the connection ends after the answer, since what follows cannot be told apart.
  bool prepare(Connection& connection, httplib::Request& request) {
    request.ranges.clear();  // answered by send_file alone
    request.headers.erase("Accept-Encoding");
    const bool plain = plain_body(request) && request.target.size() <= longest_target;
    if (!plain) {
      request.headers.erase("Transfer-Encoding");
      request.headers.erase("Content-Length");
      request.headers.erase("Host");  // which the guard refuses
    }
    const std::string length = request.get_header_value("Content-Length");
    connection.begin_body(std::strtoll(length.c_str(), nullptr, 10));
    return plain;
  }

  Answerer answer_;
  ConnectionLimits limits_;
};

HttpServer::HttpServer(Answerer answer, const ConnectionLimits& limits)
    : library_(std::make_unique<Library>(std::move(answer), limits)) {}

HttpServer::~HttpServer() = default;

Result<int> HttpServer::bind(const std::string& host, int port) {
  const int bound = port == 0                            ? library_->bind_to_any_port(host)
                    : library_->bind_to_port(host, port) ? port
                                                         : -1;
  if (bound > 0) return bound;
  return Unexpected(Error{ErrorKind::machine, host + ":" + std::to_string(port), "",
                          "the port is in use or not allowed",
                          "Stop the other program, or choose another with --port."});
}

void HttpServer::serve() {
  {
    const std::lock_guard lock(mutex_);
    if (library_->stopping) return;
    serving_ = true;
  }
  library_->listen_after_bind();
  serving_ = false;
}

void HttpServer::stop() {
  {
    const std::lock_guard lock(mutex_);
    library_->stopping = true;
  }
  // The library ignores a stop that comes before it listens.
  while (serving_ && !library_->is_running()) {
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
  library_->stop();
}

void HttpServer::answer_on(int socket) { library_->answer_on(socket); }

bool HttpServer::stopping() const { return library_->stopping; }

}  // namespace endpin::desk
