#include "settled.h"

namespace endpin::technique {
namespace {

Settled printed(const Note& note) {
  Settled s;
  s.stop.string = note.printed.string;
  if (!note.printed.fingers.empty()) s.stop.finger = note.printed.fingers.back();
  if (note.printed.open_string) s.stop.finger = 0;
  if (note.printed.thumb) s.stop.finger = 5;
  if (s.stop.string) s.string_origin = Origin::printed;
  if (s.stop.finger) s.finger_origin = Origin::printed;
  s.bow = note.printed.bow;
  if (s.bow) s.bow_origin = Origin::printed;
  s.stopped_harmonic = note.artificial_harmonic;
  return s;
}

void overrule(Settled& s, const TeacherMarking& teacher) {
  // A finger of the teacher's on another string than the printed one leaves the printed string.
  if (teacher.finger || teacher.string || teacher.position) s.stop = {};
  if (teacher.string) s.stop.string = teacher.string, s.string_origin = Origin::teacher;
  if (teacher.finger) s.stop.finger = teacher.finger, s.finger_origin = Origin::teacher;
  if (teacher.position) s.stop.position = teacher.position;
  if (teacher.bow) s.bow = teacher.bow, s.bow_origin = Origin::teacher;
}

}  // namespace

SettledById settled(const Part& part, const std::vector<TeacherMarking>& teacher) {
  SettledById result;
  for (const Bar& bar : part.bars) {
    for (const Note& note : bar.notes) {
      if (!note.is_rest() && !note.grace && !note.cue) result[note.id] = printed(note);
    }
  }
  for (const TeacherMarking& marking : teacher) overrule(result[marking.id], marking);
  return result;
}

const Settled& settled_of(const SettledById& all, const std::string& id) {
  static const Settled nothing;
  const auto found = all.find(id);
  return found == all.end() ? nothing : found->second;
}

}  // namespace endpin::technique
