#pragma once

#include <cstdlib>
#include <string_view>

#include "endpin/notation/read.h"
#include "endpin/notation/write.h"
#include "endpin/score/unfold.h"

namespace endpin::fuzz {

/// What must hold of any bytes: they are read or refused without a crash; what is read can be
/// unfolded, marked and written, and what is written is read again. Stops the program where not.
inline void check_score(std::string_view bytes) {
  const auto score = read_score(bytes);
  if (!score) {
    if (score.error().line().find('\n') != std::string::npos) std::abort();
    return;
  }
  MarkingsById markings;
  for (int part = 0; part < static_cast<int>(score->parts.size()); ++part) {
    const auto played = timeline(*score, part);
    if (!played || played->notes.empty()) continue;
    NoteMarkings mark;
    mark.fingers = {1};
    markings[played->notes.front().id] = {{mark, Origin::proposed}};
  }
  if (!read_score(write_musicxml(*score, markings))) std::abort();
  const auto marked = write_marked(bytes, *score, markings);
  if (!marked || !read_score(*marked)) std::abort();
}

}  // namespace endpin::fuzz
