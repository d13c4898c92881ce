#include <algorithm>
#include <map>

#include "sections.h"

namespace endpin::study_internal {
namespace {

// The alteration that a signature gives to a letter. F is the first sharp, B the first flat.
int signature_alter(Step step, int fifths) {
  const int place = line_of_fifths({step, 0, 4});  // F -1 … B 5
  int alter = 0;
  for (int f = fifths; f > place + 1; f -= 7) ++alter;
  for (int f = fifths; f < place - 5; f += 7) --alter;
  return alter;
}

constexpr int thumb = 5;  // as TimelineNote::finger counts

// The stop that the markings chose, or the one that is learnt first.
std::optional<Stop> stop_of(const TimelineNote& note, const Instrument& instrument) {
  if (note.string && note.finger) {
    const auto stop = stop_with(instrument, note.spelled, *note.string, *note.finger);
    if (stop) return stop;
  }
  return first_learnt_stop(instrument, note.spelled);
}

// In the trade's words: "high 2 on D", and how far from the nut where the length is known.
Sentence where(const AlteredNote& altered, const Instrument& instrument) {
  Sentence says{"study.altered.where",
                {{"finger", argument(*altered.finger)},
                 {"string", string_letter(instrument, *altered.string)}}};
  if (altered.finger == 0) says.key = "study.altered.open";
  if (altered.finger == thumb) says.key = "study.altered.thumb";
  if (altered.shape == FingerShape::low) says.key = "study.altered.low";
  if (altered.shape == FingerShape::high) says.key = "study.altered.high";
  if (altered.shape == FingerShape::extended) says.key = "study.altered.extended";
  if (altered.shape == FingerShape::extended_back) says.key = "study.altered.extended-back";
  return says;
}

void place(AlteredNote& altered, const TimelineNote& note, const Instrument& instrument,
           std::optional<double> length_mm) {
  const auto stop = stop_of(note, instrument);
  if (!stop) return;
  altered.string = stop->string;
  altered.finger = stop->finger;
  altered.shape = finger_shape(instrument, *stop);
  if (stop->finger != 0) altered.position_key = position_of(instrument, stop->hand).key;
  if (length_mm) altered.from_nut_mm = nut_to_finger_mm(*length_mm, stop->above_open);
  altered.where = where(altered, instrument);
}

}  // namespace

std::vector<AlteredNote> altered_notes(const Timeline& timeline, const Instrument& instrument,
                                       std::optional<double> length_mm) {
  std::map<int, AlteredNote> found;  // by place on the line of fifths and octave
  for (const TimelineNote* note : written_notes(timeline)) {
    const int expected = signature_alter(note->spelled.step, timeline.fifths);
    if (note->spelled.alter == 0 && expected == 0) continue;
    AlteredNote& altered = found[100 * note->midi + line_of_fifths(note->spelled) + 40];
    if (altered.count++ == 0) {
      altered.pitch = note->spelled;
      altered.in_signature = note->spelled.alter == expected;
      place(altered, *note, instrument, length_mm);
    }
    add_once(altered.bars, note->bar);
    altered.notes.push_back(note->id);
  }
  std::vector<AlteredNote> list;
  for (auto& [key, altered] : found) list.push_back(std::move(altered));
  std::stable_sort(list.begin(), list.end(), [](const AlteredNote& a, const AlteredNote& b) {
    if (a.in_signature != b.in_signature) return a.in_signature;
    return a.count > b.count;
  });
  return list;
}

}  // namespace endpin::study_internal
