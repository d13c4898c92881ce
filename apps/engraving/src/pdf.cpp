#include "endpin/engraving/pdf.h"

#include <cassert>
#include <cerrno>
#include <cstdlib>
#include <filesystem>
#include <utility>
#include <vector>

#include <fmt/core.h>
#include <stdlib.h>  // mkdtemp
#include <unistd.h>

#include "endpin/app/files.h"
#include "endpin/app/process.h"

namespace endpin::app {
namespace {

namespace fs = std::filesystem;

// A folder of its own below the system's temporary one, gone with this object.
class ScratchFolder {
 public:
  static Result<ScratchFolder> create() {
    std::string path = (fs::temp_directory_path() / "endpin-print.XXXXXX").string();
    if (::mkdtemp(path.data()) == nullptr) return Unexpected(file_error(path, errno));
    return ScratchFolder(path);
  }
  ScratchFolder(ScratchFolder&& other) noexcept : path_(std::exchange(other.path_, {})) {}
  ScratchFolder& operator=(ScratchFolder&&) = delete;
  ~ScratchFolder() {
    std::error_code ignored;
    if (!path_.empty()) fs::remove_all(path_, ignored);
  }
  const fs::path& path() const { return path_; }

 private:
  explicit ScratchFolder(fs::path path) : path_(std::move(path)) {}
  fs::path path_;
};

std::vector<std::string> print_command(const fs::path& folder) {
  std::vector<std::string> command{"chromium",
                                   "--headless=new",
                                   "--disable-gpu",
                                   "--disable-dev-shm-usage",
                                   "--disable-background-networking",
                                   "--disable-extensions",
                                   "--no-first-run",
                                   "--lang=en-US",
                                   "--user-agent=Endpin",  // becomes the PDF's /Creator
                                   "--no-pdf-header-footer",
                                   "--user-data-dir=" + (folder / "profile").string(),
                                   "--print-to-pdf=" + (folder / "sheet.pdf").string()};
  // Chromium's sandbox refuses to run as root; what it opens here is a page of our own making.
  if (::geteuid() == 0) command.emplace_back("--no-sandbox");
  command.push_back("file://" + (folder / "sheet.html").string());
  return command;
}

Error print_failure(const ProcessResult& result, Seconds limit) {
  std::string what = fmt::format("could not print the sheet (exit {})", result.exit_status);
  if (result.timed_out) {
    what = fmt::format("was not done printing the sheet in {} seconds", limit.value());
  }
  return {ErrorKind::machine, "chromium", "", std::move(what), "Try again; sheet.html prints too."};
}

// The dates stand in plain text and keep their length: "D:20261125143910+00'00'".
void set_date(std::string& pdf, std::string_view key, std::string_view date) {
  const std::string digits =
      fmt::format("{}{}{}000000+00'00'", date.substr(0, 4), date.substr(5, 2), date.substr(8, 2));
  const std::string prefix = fmt::format("/{} (D:", key);
  const std::size_t at = pdf.find(prefix);
  if (at == std::string::npos) return;
  const std::size_t from = at + prefix.size();
  const std::size_t end = pdf.find(')', from);
  if (end != std::string::npos && end - from == digits.size()) {
    pdf.replace(from, digits.size(), digits);
  }
}

}  // namespace

Result<std::string> print_pdf(std::string_view html, std::string_view date, Seconds limit) {
  assert(date.size() == 10);
  auto folder = ScratchFolder::create();
  if (!folder) return Unexpected(std::move(folder).error());
  if (auto written = write_file_atomically(folder->path() / "sheet.html", html); !written) {
    return Unexpected(Error(written.error()));
  }
  ProcessLimits limits;
  limits.wall_time = limit;
  auto result = run_process(print_command(folder->path()), "", limits);
  if (!result) return Unexpected(std::move(result).error());
  if (result->exit_status != 0 || result->timed_out || !fs::exists(folder->path() / "sheet.pdf")) {
    return Unexpected(print_failure(*result, limit));
  }
  auto pdf = read_file(folder->path() / "sheet.pdf");
  if (!pdf) return pdf;
  set_date(*pdf, "CreationDate", date);
  set_date(*pdf, "ModDate", date);
  return pdf;
}

int page_count(std::string_view pdf) {
  const std::size_t pages = pdf.find("/Type /Pages");
  const std::size_t count = pdf.find("/Count ", pages == std::string_view::npos ? 0 : pages);
  if (pages == std::string_view::npos || count == std::string_view::npos) return 0;
  return std::atoi(std::string(pdf.substr(count + 7, 8)).c_str());
}

}  // namespace endpin::app
