#include "endpin/technique/written_markings.h"

#include <string>

namespace endpin {
namespace {

// A finger is worth printing where the hand moves or stretches, on a first note, and where an open
// string and a fourth finger are both possible.
bool needed(const NoteMarking& note, bool first) {
  const bool choice = note.finger == 4 && note.fingering_reason.key == "fingering.fourth-for-open";
  return first || note.shift || note.extension != Extension::none || choice;
}

PlacedMarkings& of_origin(std::vector<PlacedMarkings>& list, Origin origin) {
  for (PlacedMarkings& placed : list) {
    if (placed.origin == origin) return placed;
  }
  list.push_back({{}, origin});
  return list.back();
}

void set_finger(NoteMarkings& marks, int finger) {
  if (finger == 0) {
    marks.open_string = true;
    marks.fingers = {0};
  } else if (finger == 5) {
    marks.thumb = true;
  } else {
    marks.fingers = {finger};
  }
}

}  // namespace

MarkingsById written_markings(const Markings& markings, MarkingDensity density) {
  MarkingsById result;
  const bool all = density == MarkingDensity::every_note;
  bool first = true;
  for (const NoteMarking& note : markings.notes) {
    std::vector<PlacedMarkings> list;
    const bool fingers = all || needed(note, first);
    first = false;
    if (note.finger && note.finger_origin != Origin::printed &&
        (fingers || note.finger_origin == Origin::teacher)) {
      set_finger(of_origin(list, note.finger_origin).marks, *note.finger);
    }
    if (note.string && note.string_origin != Origin::printed &&
        (all || note.shift || note.string_origin == Origin::teacher)) {
      of_origin(list, note.string_origin).marks.string = note.string;
    }
    if (note.bow && note.bow_shown && note.bow_origin != Origin::printed) {
      of_origin(list, note.bow_origin).marks.bow = note.bow;
    }
    if (!list.empty()) result[note.id] = std::move(list);
  }
  return result;
}

}  // namespace endpin
