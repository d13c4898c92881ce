#include "onset_errors.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace endpin::measures {
namespace {

const NoteHearing* nearest(const TrueNote& truth, const std::vector<NoteHearing>& heard) {
  const NoteHearing* best = nullptr;
  double least = std::numeric_limits<double>::infinity();
  for (const int index : truth.indices) {
    if (index >= static_cast<int>(heard.size())) continue;
    const auto& note = heard[static_cast<std::size_t>(index)];
    if (best == nullptr) best = &note;
    if (!note.heard || note.state != NoteState::heard) continue;
    const double distance = std::abs((note.heard->onset - truth.onset).value());
    if (distance < least) {
      least = distance;
      best = &note;
    }
  }
  return best;
}

BoundaryClass boundary_of(const TimelineNote& note, const TimelineNote& before, Beats before_end) {
  if (before_end < note.onset) return BoundaryClass::after_rest;
  const bool slurred = (note.slur_id && note.slur_id == before.slur_id) ||
                       (note.stroke_id && note.stroke_id == before.stroke_id);
  if (note.midi == before.midi) return BoundaryClass::repeated_pitch;
  return slurred ? BoundaryClass::slur : BoundaryClass::detache;
}

}  // namespace

const char* name(BoundaryClass boundary) {
  switch (boundary) {
    case BoundaryClass::after_rest:
      return "after a rest";
    case BoundaryClass::detache:
      return "separate stroke";
    case BoundaryClass::slur:
      return "inside a slur";
    case BoundaryClass::repeated_pitch:
      return "repeated pitch";
  }
  return "";
}

std::vector<BoundaryClass> boundary_classes_of(const Timeline& timeline) {
  std::vector<BoundaryClass> classes;
  Beats sounding_until;
  const TimelineNote* before = nullptr;
  const TimelineNote* first_of_chord = nullptr;
  for (const auto& note : timeline.notes) {
    if (first_of_chord != nullptr && first_of_chord->onset == note.onset) {
      classes.push_back(classes.back());
    } else {
      before = first_of_chord;
      classes.push_back(before == nullptr ? BoundaryClass::after_rest
                                          : boundary_of(note, *before, sounding_until));
      first_of_chord = &note;
    }
    sounding_until = std::max(sounding_until, note.onset + note.duration);
  }
  return classes;
}

std::vector<NoteError> note_errors(const Timeline& timeline, const std::vector<TrueNote>& truth,
                                   const std::vector<NoteHearing>& heard) {
  const auto classes = boundary_classes_of(timeline);
  std::vector<NoteError> errors;
  for (const auto& row : truth) {
    NoteError error;
    error.index = row.indices.front();
    error.boundary = classes[static_cast<std::size_t>(error.index)];
    error.length_s = (row.offset - row.onset).value();
    if (const auto* note = nearest(row, heard)) {
      error.state = note->state;
      error.found = note->heard && note->state == NoteState::heard;
      if (error.found) error.onset_s = (note->heard->onset - row.onset).value();
      error.has_offset = error.found && row.complete && note->heard->offset;
      if (error.has_offset) error.offset_s = (*note->heard->offset - row.offset).value();
    }
    errors.push_back(error);
  }
  return errors;
}

double bias(const std::vector<NoteError>& errors) {
  std::vector<double> signed_errors;
  for (const auto& e : errors) {
    if (e.found) signed_errors.push_back(e.onset_s);
  }
  return signed_errors.empty() ? 0 : median(std::move(signed_errors));
}

double found_within(const std::vector<NoteError>& errors, Seconds tolerance, double taken_out) {
  if (errors.empty()) return 0;
  const auto near = std::count_if(errors.begin(), errors.end(), [&](const NoteError& e) {
    return e.found && std::abs(e.onset_s - taken_out) <= tolerance.value();
  });
  return static_cast<double>(near) / static_cast<double>(errors.size());
}

std::vector<double> absolute_errors(const std::vector<NoteError>& errors) {
  const double shift = bias(errors);
  std::vector<double> out;
  for (const auto& e : errors) {
    if (e.found) out.push_back(std::abs(e.onset_s - shift));
  }
  return out;
}

bool offset_holds(const NoteError& error) {
  return error.has_offset && std::abs(error.offset_s) <= std::max(0.05, 0.2 * error.length_s);
}

}  // namespace endpin::measures
