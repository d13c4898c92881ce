#include <arpa/inet.h>
#include <sys/socket.h>

#include "desk_fixture.h"

namespace endpin::desk {
namespace {

class Security : public DeskTest {
 protected:
  Security() { options.header_time = std::chrono::milliseconds(700); }
  std::string host() const { return "127.0.0.1:" + std::to_string(desk->port()); }

  /// Sends bytes as they are, and reads until the desk closes or `patience` seconds pass.
  std::string raw(const std::string& bytes, int patience = 20) {
    const int s = ::socket(AF_INET, SOCK_STREAM, 0);
    sockaddr_in to{};
    to.sin_family = AF_INET;
    to.sin_port = htons(static_cast<std::uint16_t>(desk->port()));
    to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    EXPECT_EQ(::connect(s, reinterpret_cast<sockaddr*>(&to), sizeof to), 0);
    const timeval wait{patience, 0};
    ::setsockopt(s, SOL_SOCKET, SO_RCVTIMEO, &wait, sizeof wait);
    (void)!::send(s, bytes.data(), bytes.size(), MSG_NOSIGNAL);
    std::string answer;
    char block[4096];
    for (ssize_t got = 0; (got = ::recv(s, block, sizeof block, 0)) > 0;) {
      answer.append(block, static_cast<std::size_t>(got));
    }
    ::close(s);
    return answer;
  }
  int status_with(httplib::Headers headers, const std::string& method = "GET") {
    httplib::Client plain("127.0.0.1", desk->port());
    httplib::Request request;
    request.method = method;
    request.path = method == "GET" ? "/api/students" : "/api/groups";
    request.headers = std::move(headers);
    if (method == "POST") request.body = R"({"name":"x"})";
    const auto result = plain.send(request);
    return result ? result->status : -1;
  }
};

TEST_F(Security, AForeignNameIsRefusedSoThatRebindingFails) {
  EXPECT_EQ(status_with({{"Host", host()}}), 200);
  EXPECT_EQ(status_with({{"Host", "localhost:" + std::to_string(desk->port())}}), 200);
  EXPECT_EQ(status_with({{"Host", "evil.example:" + std::to_string(desk->port())}}), 403);
  EXPECT_EQ(status_with({{"Host", "127.0.0.1.evil.example:" + std::to_string(desk->port())}}), 403);
  EXPECT_EQ(status_with({{"Host", "127.0.0.1:1"}}), 403);
}

TEST_F(Security, AForeignPageCannotReadOrChange) {
  EXPECT_EQ(status_with({{"Origin", "http://evil.example"}}), 403);
  EXPECT_EQ(status_with({{"Origin", "null"}}), 403);
  EXPECT_EQ(status_with({{"Sec-Fetch-Site", "cross-site"}}), 403);
  EXPECT_EQ(status_with({{"Origin", "http://evil.example"}, {"X-Endpin", "1"}}, "POST"), 403);
  EXPECT_EQ(status_with({{"Origin", "http://" + host()}, {"X-Endpin", "1"}}, "POST"), 201);
}

TEST_F(Security, AChangeWithoutTheHeaderIsRefused) {
  EXPECT_EQ(status_with({}, "POST"), 403);
  EXPECT_EQ(get("/groups").json["groups"].size(), 0u);
}

TEST_F(Security, ARefusedBodyIsNeverReadAsTheNextRequest) {
  const std::string hidden = "POST /api/students HTTP/1.1\r\nHost: " + host() +
                             "\r\nX-Endpin: 1\r\nContent-Length: 16\r\n\r\n{\"name\":\"ghost\"}";
  raw("POST /api/groups HTTP/1.1\r\nHost: " + host() +
          "\r\nOrigin: http://evil.example\r\nContent-Length: " + std::to_string(hidden.size()) +
          "\r\n\r\n" + hidden,
      8);
  // A body on a request that takes none, a length that lies, two lengths, and both kinds of length.
  raw("GET /api/book HTTP/1.1\r\nHost: " + host() +
          "\r\nContent-Length: " + std::to_string(hidden.size()) + "\r\n\r\n" + hidden,
      8);
  raw("POST /api/groups HTTP/1.1\r\nHost: " + host() +
          "\r\nX-Endpin: 1\r\nTransfer-Encoding: chunked\r\nContent-Length: 4\r\n\r\n0\r\n\r\n" +
          hidden,
      8);
  raw("POST /api/groups HTTP/1.1\r\nHost: " + host() +
          "\r\nContent-Length: 0\r\nContent-Length: 5\r\n\r\n" + hidden,
      8);
  EXPECT_EQ(get("/students").json["students"].size(), 0u);
}

TEST_F(Security, PathsStayInsideThePage) {
  std::filesystem::create_directories(root / "web" / "assets");
  std::ofstream(root / "web" / "index.html") << "<!doctype html>page";
  std::ofstream(root / "web" / "assets" / "app.js") << "1";
  std::ofstream(root / "secret.txt") << "secret";
  EXPECT_EQ(said(client->Get("/")).body, "<!doctype html>page");
  EXPECT_EQ(said(client->Get("/assets/app.js")).body, "1");
  for (const char* path :
       {"/../secret.txt", "/..%2fsecret.txt", "/%2e%2e/secret.txt", "/assets/../../secret.txt",
        "/assets/%2e%2e%2f%2e%2e%2fsecret.txt", "/..\\secret.txt", "/assets/%00/../../secret.txt",
        "//etc/passwd", "/.hidden"}) {
    const std::string answer = raw("GET " + std::string(path) + " HTTP/1.1\r\nHost: " + host() +
                                   "\r\nConnection: close\r\n\r\n");
    EXPECT_EQ(answer.find("secret"), std::string::npos) << path;
    EXPECT_EQ(answer.find("root:"), std::string::npos) << path;
  }
}

TEST_F(Security, EveryAnswerCarriesTheStrictHeaders) {
  const Said book = get("/book");
  const auto value = [&](const char* name) {
    const auto found = book.headers.find(name);
    return found == book.headers.end() ? std::string() : found->second;
  };
  EXPECT_EQ(value("X-Content-Type-Options"), "nosniff");
  EXPECT_EQ(value("Referrer-Policy"), "no-referrer");
  const std::string policy = value("Content-Security-Policy");
  EXPECT_NE(policy.find("default-src 'none'"), std::string::npos);
  EXPECT_EQ(policy.find("script-src 'self' 'unsafe-inline'"), std::string::npos);
  EXPECT_EQ(policy.find("http:"), std::string::npos);
}

TEST_F(Security, OverlongAndBrokenRequestsAreTurnedAway) {
  const std::string start = "GET /api/book HTTP/1.1\r\nHost: " + host() + "\r\n";
  EXPECT_EQ(raw("GET /" + std::string(9000, 'a') + " HTTP/1.1\r\n\r\n").find(" 200 "),
            std::string::npos);
  std::string many = start;
  for (int i = 0; i < 5000; ++i) many += "X-" + std::to_string(i) + ": y\r\n";
  EXPECT_EQ(raw(many + "\r\n").find(" 200 "), std::string::npos);
  EXPECT_EQ(raw("\x16\x03\x01\x02\x00\x01").find(" 200 "), std::string::npos);
  EXPECT_EQ(raw(start + "Range: bytes=" + std::string(7000, '1') + "-\r\nConnection: close\r\n\r\n")
                .find(" 206 "),
            std::string::npos);
  EXPECT_EQ(get("/book").status, 200);
}

TEST_F(Security, ASlowClientIsSentAwayAndHoldsNobodyUp) {
  const auto begun = std::chrono::steady_clock::now();
  std::thread slow([&] { raw("GET /api/book HTTP/1.1\r\nHost: ", 30); });
  EXPECT_EQ(get("/book").status, 200);
  slow.join();
  EXPECT_LT(std::chrono::steady_clock::now() - begun, std::chrono::seconds(3));
}

TEST_F(Security, AnUploadThatBreaksOffLeavesNothing) {
  raw("POST /api/takes?name=a.wav HTTP/1.1\r\nHost: " + host() +
          "\r\nX-Endpin: 1\r\nContent-Length: 1000000\r\n\r\nRIFF",
      1);
  for (int i = 0; i < 100 && !std::filesystem::is_empty(options.book / "incoming"); ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
  }
  EXPECT_TRUE(std::filesystem::is_empty(options.book / "incoming"));
  EXPECT_EQ(get("/takes").json["takes"].size(), 0u);
}

TEST_F(Security, AnUploadThatIsAnnouncedTooLargeIsRefusedAtOnce) {
  const std::string answer = raw("POST /api/takes?name=a.wav HTTP/1.1\r\nHost: " + host() +
                                     "\r\nX-Endpin: 1\r\nContent-Length: 1073741825\r\n\r\n",
                                 2);
  EXPECT_NE(answer.find(" 413 "), std::string::npos) << answer.substr(0, 100);
}

class OnTheNetwork : public Security {
 protected:
  OnTheNetwork() { options.listen = "0.0.0.0"; }
};

TEST_F(OnTheNetwork, NobodyGetsInWithoutThePass) {
  EXPECT_EQ(get("/book").status, 401);
  EXPECT_EQ(said(client->Get("/pass/0123456789abcdef0123456789abcdef")).status, 401);
  const std::string address = desk->address();
  const Said entered = said(client->Get(address.substr(address.find("/pass/")).c_str()));
  ASSERT_EQ(entered.status, 303);
  const std::string cookie = entered.headers.find("Set-Cookie")->second;
  EXPECT_NE(cookie.find("HttpOnly"), std::string::npos);
  EXPECT_NE(cookie.find("SameSite=Strict"), std::string::npos);
  EXPECT_EQ(get("/book", {{"Cookie", cookie.substr(0, cookie.find(';'))}}).status, 200);
}

TEST_F(OnTheNetwork, TheDesksOwnMachineWithdrawsThePass) {
  const std::string address = desk->address();
  const Said entered = said(client->Get(address.substr(address.find("/pass/")).c_str()));
  const std::string set = entered.headers.find("Set-Cookie")->second;
  const std::string cookie = set.substr(0, set.find(';'));
  const httplib::Headers headers{{"Cookie", cookie}, {"X-Endpin", "1"}};
  const Said withdrawn = said(client->Post("/api/book/pass", headers, "{}", "application/json"));
  ASSERT_EQ(withdrawn.status, 200) << withdrawn.body;
  EXPECT_EQ(get("/book", {{"Cookie", cookie}}).status, 401);
  const std::string pass = Json::parse(withdrawn.body)["pass"];
  EXPECT_EQ(said(client->Get(pass.c_str())).status, 303);
}

TEST_F(OnTheNetwork, GuessingIsStopped) {
  for (int i = 0; i < 10; ++i) client->Get("/pass/guess");
  EXPECT_EQ(said(client->Get("/pass/guess")).status, 429);
}

TEST_F(OnTheNetwork, ANameOfSomebodyElsesIsRefused) {
  EXPECT_EQ(status_with({{"Host", "evil.example:" + std::to_string(desk->port())}}), 403);
}

}  // namespace
}  // namespace endpin::desk
