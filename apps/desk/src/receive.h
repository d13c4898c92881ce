#pragma once

#include <variant>

#include "endpin/book/book.h"

#include "call.h"

namespace endpin::desk {

/// Streams a request's body to the disk; the answer is the refusal.
std::variant<book::Upload, Answer> receive(book::Book& book, const Call& call, std::int64_t limit);
/// What is here already, as if it had been sent.
Result<book::Upload> as_upload(book::Book& book, const std::string& bytes);

}  // namespace endpin::desk
