#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <memory>
#include <thread>

#include <CLI/CLI.hpp>
#include <fmt/core.h>
#include <pthread.h>

#include "endpin/desk/desk.h"

#include "command.h"

namespace endpin::cli {
namespace {

namespace fs = std::filesystem;

constexpr int usual_port = 8440;

struct DeskWords {
  std::string book;
  std::string listen = "127.0.0.1";
  int port = usual_port;
  std::string backup;
  std::string restore;
  std::string demo;
  std::string web;
  int workers = 2;
};

// The XDG base directory specification's place for a user's data.
fs::path data_home() {
  if (const char* given = std::getenv("XDG_DATA_HOME"); given != nullptr && *given == '/') {
    return given;
  }
  const char* home = std::getenv("HOME");
  return fs::path(home != nullptr ? home : ".") / ".local" / "share";
}

// A demo has a book of its own, so that it never mixes with a teacher's.
fs::path book_folder(const DeskWords& words) {
  if (!words.book.empty()) return words.book;
  return data_home() / "endpin" / (words.demo.empty() ? "book" : "demo");
}

// Where the page was built: given, beside the program's own tree, or in the sources'.
fs::path web_root(const DeskWords& words) {
  if (!words.web.empty()) return words.web;
  std::error_code failed;
  const fs::path program = fs::read_symlink("/proc/self/exe", failed).parent_path();
  const fs::path installed = program.parent_path() / "share" / "endpin" / "web";
  if (fs::exists(installed / "index.html", failed)) return installed;
  return fs::path(ENDPIN_SOURCE_DIR) / "web" / "dist";
}

/// SIGINT and SIGTERM taken by a thread that waits for them, so that stopping is ordinary code.
class StopSignals {
 public:
  StopSignals() {
    sigemptyset(&signals_);
    sigaddset(&signals_, SIGINT);
    sigaddset(&signals_, SIGTERM);
    pthread_sigmask(SIG_BLOCK, &signals_, nullptr);
    std::signal(SIGPIPE, SIG_IGN);
  }
  ~StopSignals() { end(); }
  /// Once it returns, what `then` was given is no longer used.
  void end() {
    if (!thread_.joinable()) return;
    pthread_kill(thread_.native_handle(), SIGTERM);
    thread_.join();
  }
  void then(std::function<void()> stop) {
    thread_ = std::thread([this, stop = std::move(stop)] {
      int signal = 0;
      sigwait(&signals_, &signal);
      stop();
    });
  }

 private:
  sigset_t signals_;
  std::thread thread_;
};

Result<void> serve(const DeskWords& words) {
  StopSignals signals;
  desk::DeskOptions options;
  options.book = book_folder(words);
  options.listen = words.listen;
  options.port = words.port;
  options.web_root = web_root(words);
  options.workers = words.workers;
  if (!words.demo.empty()) options.demo = words.demo;
  auto desk = desk::Desk::open(options);
  if (!desk) return Unexpected(desk.error());
  fmt::print("The desk is open at {}\n", (*desk)->address());
  if ((*desk)->on_network()) {
    fmt::print(
        "Whoever has this link can read and change the book until the desk stops. The connection "
        "is "
        "not encrypted: use it in a network that you trust.\n");
  }
  fmt::print("The book is in {}. Ctrl+C ends.\n", fs::absolute(options.book).string());
  std::fflush(stdout);
  signals.then([&desk] { (*desk)->stop(); });
  (*desk)->serve();
  signals.end();  // it may still be stopping what goes away now
  return {};
}

Result<void> back_up(const DeskWords& words) {
  const fs::path folder = book_folder(words);
  std::error_code failed;
  if (!fs::exists(folder / "book.sqlite3", failed)) {
    return Unexpected(Error{ErrorKind::input, folder.string(), "", "there is no book here",
                            "Say where it is with --book."});
  }
  auto book = book::open_book(folder);
  if (!book) return Unexpected(book.error());
  return (*book)->back_up(words.backup);
}

Result<void> run(const DeskWords& words) {
  if (!words.restore.empty()) return book::restore_book(words.restore, book_folder(words));
  if (!words.backup.empty()) return back_up(words);
  return serve(words);
}

}  // namespace

void add_desk_command(CLI::App& app, CommonOptions&) {
  const auto words = std::make_shared<DeskWords>();
  CLI::App* verb = app.add_subcommand("desk", "Open the desk in a browser");
  verb->add_option("--book", words->book, "The book's folder");
  verb->add_option("--port", words->port, "The port")
      ->check(CLI::Range(0, 65535))
      ->capture_default_str();
  verb->add_option("--listen", words->listen,
                   "The address to listen on; other than loopback asks for a pass")
      ->capture_default_str();
  CLI::Option* backup =
      verb->add_option("--backup", words->backup, "Write the whole book into this file, and end");
  verb->add_option("--restore", words->restore, "Unpack a backup into a new book folder, and end")
      ->excludes(backup);
  verb->add_option("--demo", words->demo, "Fill a new book with the demo of this folder");
  verb->add_option("--web", words->web, "The built page's folder");
  verb->add_option("--workers", words->workers, "Hearings at a time")
      ->check(CLI::Range(0, 16))
      ->capture_default_str();
  set_action(*verb, [words] { return run(*words); });
}

}  // namespace endpin::cli
