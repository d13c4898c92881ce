#pragma once

#include <optional>
#include <string>

#include "endpin/app/score_input.h"

#include "fields.h"

namespace endpin::desk {

/// What was changed over a piece, as the book keeps it:
/// {"moved":{"fifths":2,"semitones":2},"notes":[{"id":"n12","pitch":"F#3","value":"half"}]}.
/// Pitches are those of the file, before it is moved. Empty: nothing.
app::ScoreChanges changes_from_text(const std::string& text);
std::string changes_text(const app::ScoreChanges& changes);

/// Written values by name, "whole" to "64th".
std::string_view value_name(NoteValue value);
std::optional<NoteValue> note_value(std::string_view name);

/// What a call says of a note, over what was said before; pitches as they are seen. The answer is
/// the refusal.
std::optional<Answer> read_mend(const Fields& call, Mend& mend);

}  // namespace endpin::desk
