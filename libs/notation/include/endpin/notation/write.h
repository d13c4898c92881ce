#pragma once

#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/base/result.h"
#include "endpin/notation/read.h"
#include "endpin/score/score.h"

namespace endpin {

/// Markings that go to one note, and whose they are.
struct PlacedMarkings {
  NoteMarkings marks;
  Origin origin = Origin::proposed;
};

/// By Note::id; one entry an origin.
using MarkingsById = std::map<std::string, std::vector<PlacedMarkings>, std::less<>>;

/// The score as MusicXML 4.0 partwise. The same score gives the same bytes, and `read_score` gives
/// the score back. `markings` are written as `annotate_musicxml` writes them. O(size).
std::string write_musicxml(const Score& score, const MarkingsById& markings = {});

/// `original` (MusicXML, plain or compressed) with `markings` written in: as UTF-8 text, every byte
/// that is not a marking's as it was. Every note gets the id that `read_score` gives it. A proposed
/// mark never replaces one that is there, a teacher's does; what was proposed by an earlier call is
/// taken out. How marks are told apart: docs/markings-in-musicxml.md. Errors: those of reading.
Result<std::string> annotate_musicxml(std::string_view original, const MarkingsById& markings,
                                      const ReadOptions& options = {});

/// `annotate_musicxml` where `original` is MusicXML; otherwise `score`, read from it, written.
Result<std::string> write_marked(std::string_view original, const Score& score,
                                 const MarkingsById& markings, const ReadOptions& options = {});

}  // namespace endpin
