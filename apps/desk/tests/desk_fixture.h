#pragma once

#include <chrono>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>
#include <thread>

#include <gtest/gtest.h>
#include <httplib.h>
#include <nlohmann/json.hpp>

#include "endpin/app/process.h"
#include "endpin/book/upload.h"
#include "endpin/desk/desk.h"

namespace endpin::desk {

using Json = nlohmann::json;

inline std::string file_bytes(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

/// A tone of `seconds` as a WAV file, 16 bit, 8 kHz.
inline std::string tone_wav(double seconds, double hz = 220) {
  const auto samples = static_cast<std::uint32_t>(seconds * 8000);
  std::string bytes;
  const auto number = [&](std::uint32_t value, int size) {
    for (int i = 0; i < size; ++i) bytes += static_cast<char>(value >> (8 * i) & 255);
  };
  bytes += "RIFF";
  number(36 + 2 * samples, 4);
  bytes += "WAVEfmt ";
  number(16, 4), number(1, 2), number(1, 2), number(8000, 4), number(16000, 4), number(2, 2),
      number(16, 2);
  bytes += "data";
  number(2 * samples, 4);
  for (std::uint32_t i = 0; i < samples; ++i) {
    const double value = 8000 * std::sin(2 * 3.14159265358979 * hz * i / 8000);
    number(static_cast<std::uint32_t>(static_cast<std::int16_t>(value)) & 0xffff, 2);
  }
  return bytes;
}

/// A desk on a free port of loopback with an empty book and no hearings.
class DeskTest : public testing::Test {
 protected:
  explicit DeskTest(int workers = 0)
      : root(std::filesystem::temp_directory_path() / ("endpin-desk-" + book::random_hex(6))) {
    std::filesystem::create_directory(root);
    options.book = root / "book";
    options.workers = workers;
    options.web_root = root / "web";
    options.draw_ahead = false;
  }
  ~DeskTest() override {
    close();
    std::filesystem::remove_all(root);
  }
  void SetUp() override { open(); }

  void open() {
    auto opened = Desk::open(options);
    ASSERT_TRUE(opened.has_value()) << opened.error().line();
    desk = std::move(*opened);
    serving = std::thread([this] { desk->serve(); });
    client = std::make_unique<httplib::Client>("127.0.0.1", desk->port());
    client->set_default_headers({{"X-Endpin", "1"}});
    client->set_read_timeout(60);
  }
  void close() {
    client.reset();
    if (desk) desk->stop();
    if (serving.joinable()) serving.join();
    desk.reset();
  }

  struct Said {
    int status = 0;
    Json json;
    std::string body;
    httplib::Headers headers;
  };
  static Said said(const httplib::Result& result) {
    if (!result) {
      ADD_FAILURE() << "no answer: " << httplib::to_string(result.error());
      return {};
    }
    return {result->status, Json::parse(result->body, nullptr, false), result->body,
            result->headers};
  }
  Said get(const std::string& path, const httplib::Headers& headers = {}) {
    return said(client->Get(("/api" + path).c_str(), headers));
  }
  Said post(const std::string& path, const Json& json = Json::object()) {
    return said(client->Post(("/api" + path).c_str(), json.dump(), "application/json"));
  }
  Said send(const std::string& path, const std::string& bytes) {
    return said(client->Post(("/api" + path).c_str(), bytes, "application/octet-stream"));
  }
  Said patch(const std::string& path, const Json& json) {
    return said(client->Patch(("/api" + path).c_str(), json.dump(), "application/json"));
  }
  Said put(const std::string& path, const Json& json) {
    return said(client->Put(("/api" + path).c_str(), json.dump(), "application/json"));
  }
  Said remove(const std::string& path) { return said(client->Delete(("/api" + path).c_str())); }

  static std::filesystem::path tune(const std::string& name = "ode-to-joy") {
    return std::filesystem::path(ENDPIN_SOURCE_DIR) / "demo" / "pieces" / (name + ".musicxml");
  }
  int add_piece(const std::string& name = "ode-to-joy") {
    const Said added = send("/pieces?name=" + name + ".musicxml", file_bytes(tune(name)));
    EXPECT_EQ(added.status, 201) << added.body;
    return added.json.value("id", 0);
  }
  int add_student(const std::string& name) {
    return post("/students", {{"name", name}}).json.value("id", 0);
  }

  // One entry of a zip, by the other program that a teacher might open it with.
  static std::string unpacked(const std::filesystem::path& file, const std::string& entry) {
    const std::string code =
        "import sys,zipfile; "
        "sys.stdout.buffer.write(zipfile.ZipFile(sys.argv[1]).read(sys.argv[2]))";
    const auto read = app::run_process({"python3", "-c", code, file.string(), entry}, "");
    return read && read->exit_status == 0 ? read->output : "";
  }
  // The same of an export.
  std::string exported(const Said& zip, const std::string& entry) const {
    const auto file = root / "export.zip";
    std::ofstream(file, std::ios::binary) << zip.body;
    return unpacked(file, entry);
  }

  DeskOptions options;
  std::filesystem::path root;
  std::unique_ptr<Desk> desk;
  std::unique_ptr<httplib::Client> client;
  std::thread serving;
};

/// A desk that hears, one take at a time.
class HearingDeskTest : public DeskTest {
 protected:
  HearingDeskTest() : DeskTest(1) {}
  Said when_settled(const std::string& path) {
    Said take = get(path);
    for (int i = 0; i < 4000; ++i) {  // sanitizers are slow
      const std::string state = take.json.value("state", "");
      if (state != "queued" && state != "hearing") break;
      std::this_thread::sleep_for(std::chrono::milliseconds(50));
      take = get(path);
    }
    return take;
  }
};

}  // namespace endpin::desk
