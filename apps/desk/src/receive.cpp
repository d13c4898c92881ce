#include "receive.h"

namespace endpin::desk {
namespace {

Answer too_large(std::int64_t limit) {
  return refuse(413, Error{ErrorKind::input, "", "",
                           "larger than the limit of " + std::to_string(limit >> 20) + " MiB",
                           "Send a shorter one, or one with a smaller picture."});
}

Answer refused_write(const Error& error) {
  return error.kind == ErrorKind::input ? refuse(413, error) : refuse(error);
}

}  // namespace

std::variant<book::Upload, Answer> receive(book::Book& book, const Call& call, std::int64_t limit) {
  if (call.body_bytes > limit) return too_large(limit);
  if (call.body_bytes == 0) return refuse_value("body", "empty", "Send the file's bytes.");
  auto upload = book.upload(limit);
  if (!upload) return refuse(upload.error());
  Result<void> written;
  const bool ended = call.read_body([&](std::string_view piece) {
    written = upload->write(piece);
    return static_cast<bool>(written);
  });
  if (!written) return refused_write(written.error());
  if (!ended || upload->bytes() != call.body_bytes) {
    return refuse_value("body", "it did not arrive whole", "Send it again.");
  }
  if (auto kept = upload->finish(); !kept) return refuse(kept.error());
  return std::move(*upload);
}

Result<book::Upload> as_upload(book::Book& book, const std::string& bytes) {
  auto upload = book.upload(static_cast<std::int64_t>(bytes.size()) + 1);
  if (!upload) return upload;
  if (auto written = upload->write(bytes); !written) return Unexpected(written.error());
  if (auto finished = upload->finish(); !finished) return Unexpected(finished.error());
  return upload;
}

}  // namespace endpin::desk
