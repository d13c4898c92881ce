#pragma once

#include "endpin/book/book.h"

#include "fields.h"

/// The book's rows as the interface says them; the one place that knows both.
namespace endpin::desk {

Json to_json(const book::Student& student);
Json to_json(const book::Group& group);
Json to_json(const book::Settings& settings);
Json to_json(const Error& error);
/// `progress`: 0…1 of a hearing under way.
Json to_json(const book::Take& take, double progress);
/// `engraving`: "waiting", "ready" or "failed".
Json to_json(const book::Piece& piece, const std::string& engraving);

/// Takes over the members that are there, and keeps the first problem.
void read(Fields& fields, book::Student& student);
void read(Fields& fields, book::Group& group);
void read(Fields& fields, book::Settings& settings);

}  // namespace endpin::desk
