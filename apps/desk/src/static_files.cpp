#include "static_files.h"

#include <array>
#include <utility>

#include <sys/stat.h>

namespace endpin::desk {
namespace {

namespace fs = std::filesystem;

constexpr std::array<std::pair<std::string_view, std::string_view>, 15> page_types{{
    {".html", "text/html; charset=utf-8"},
    {".js", "text/javascript; charset=utf-8"},
    {".mjs", "text/javascript; charset=utf-8"},
    {".css", "text/css; charset=utf-8"},
    {".json", "application/json"},
    {".webmanifest", "application/manifest+json"},
    {".svg", "image/svg+xml"},
    {".png", "image/png"},
    {".ico", "image/x-icon"},
    {".wasm", "application/wasm"},
    {".woff2", "font/woff2"},
    {".txt", "text/plain; charset=utf-8"},
    {".wav", "audio/wav"},
    {".pdf", "application/pdf"},
    {".map", "application/json"},
}};

constexpr std::array<std::pair<std::string_view, std::string_view>, 16> media_types{{
    {".wav", "audio/wav"},
    {".mp3", "audio/mpeg"},
    {".m4a", "audio/mp4"},
    {".aac", "audio/aac"},
    {".ogg", "audio/ogg"},
    {".oga", "audio/ogg"},
    {".opus", "audio/ogg"},
    {".flac", "audio/flac"},
    {".mp4", "video/mp4"},
    {".m4v", "video/mp4"},
    {".mov", "video/quicktime"},
    {".webm", "video/webm"},
    {".3gp", "video/3gpp"},
    {".mkv", "video/x-matroska"},
    {".pdf", "application/pdf"},
    {".png", "image/png"},
}};

template <std::size_t N>
std::string look_up(const std::array<std::pair<std::string_view, std::string_view>, N>& types,
                    std::string_view extension) {
  for (const auto& [known, type] : types) {
    if (known == extension) return std::string(type);
  }
  return "application/octet-stream";
}

// A path that stays below the root: no word of it is hidden, a parent or holds what no file of ours
// does.
bool plain_path(const std::string& path) {
  if (path.size() > 512 || path.find('\\') != std::string::npos) return false;
  for (const char c : path) {
    if (static_cast<unsigned char>(c) < 0x20) return false;
  }
  return path.find("/.") == std::string::npos;
}

Answer file_answer(const fs::path& file, const Call& call, const std::string& type,
                   const std::string& cache) {
  struct stat facts {};
  if (::stat(file.c_str(), &facts) != 0) return no_such("page");
  const std::string tag = '"' + std::to_string(facts.st_size) + "-" +
                          std::to_string(facts.st_mtim.tv_sec) + "-" +
                          std::to_string(facts.st_mtim.tv_nsec) + '"';
  Answer answer;
  answer.with("ETag", tag).with("Cache-Control", cache);
  if (call.header("If-None-Match").find(tag) != std::string::npos) {
    answer.status = 304;
    answer.type.clear();
    return answer;
  }
  answer.type = type;
  answer.file = FileBody{file};
  return answer;
}

Answer no_page_built() {
  Answer answer;
  answer.status = 503;
  answer.type = "text/plain; charset=utf-8";
  answer.body = "The page is not built. Run ./run, which builds it.\n";
  return answer;
}

}  // namespace

std::string page_type(std::string_view extension) {
  const std::string type = look_up(page_types, extension);
  return type == "application/octet-stream" ? media_type(extension) : type;
}

std::string media_type(std::string_view extension) { return look_up(media_types, extension); }

Answer static_file(const fs::path& root, const Call& call) {
  if (root.empty() || !fs::exists(root / "index.html")) return no_page_built();
  if (!plain_path(call.path)) return no_such("page");
  std::error_code failed;
  const fs::path file = root / fs::path(call.path).relative_path();
  if (fs::is_regular_file(file, failed)) {
    // The build puts a hash into the names of what it keeps below assets.
    const bool hashed = call.path.rfind("/assets/", 0) == 0;
    return file_answer(file, call, look_up(page_types, file.extension().string()),
                       hashed ? "public, max-age=31536000, immutable" : "no-cache");
  }
  if (file.has_extension()) return no_such("page");
  return file_answer(root / "index.html", call, look_up(page_types, ".html"), "no-cache");
}

}  // namespace endpin::desk
