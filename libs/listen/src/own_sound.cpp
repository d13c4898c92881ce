#include "own_sound.h"

#include <algorithm>

#include "backing/place_backing.h"

namespace endpin::listen {
namespace {

// Of the energy: with less, nobody played beside the backing. The filter leaves as much of it
// (ours).
constexpr double least_left = 0.06;
constexpr double covers = 0.3;  // of the energy: a note that is not heard may lie beneath it
// Of the energy, ours, from simulated takes (voices below 100): of notes that nobody played 0.9 and
// more, of a student as loud as the backing, in the same pitch, 0.72 in the middle.
constexpr double is_the_backings = 0.9, extra_is_the_backings = 0.6;

// The browser's interface passes no backing, and its module must stay small.
#ifdef __EMSCRIPTEN__
constexpr bool hears_backing = false;
#else
constexpr bool hears_backing = true;
#endif

double covered(const Cover& cover, Seconds onset, std::optional<Seconds> offset) {
  return cover.covered_between(onset, offset.value_or(onset + Seconds(0.3)));
}

// What is left where nearly all was taken out is what the filter could not take: nobody's note.
void doubt_what_may_be_left_over(const Cover& cover, Hearing& hearing) {
  for (NoteHearing& n : hearing.notes) {
    if (!n.heard || covered(cover, n.heard->onset, n.heard->offset) < is_the_backings) continue;
    n.state = NoteState::uncertain;
    n.heard.reset();
  }
  std::erase_if(hearing.extra, [&](const ExtraNote& e) {
    return covered(cover, e.onset, e.offset) > extra_is_the_backings;
  });
}

// A note that was not heard while the backing sounded may have been played and be lost with it.
void doubt_what_is_covered(const Cover& cover, Hearing& hearing) {
  Seconds before;
  for (std::size_t i = 0; i < hearing.notes.size(); ++i) {
    NoteHearing& n = hearing.notes[i];
    if (n.heard) before = n.heard->onset;
    if (n.state != NoteState::missed) continue;
    Seconds after = hearing.recording.length;
    for (std::size_t j = i + 1; j < hearing.notes.size(); ++j) {
      if (!hearing.notes[j].heard) continue;
      after = std::max(before, hearing.notes[j].heard->onset);
      break;
    }
    if (cover.covered_between(before, after) > covers) n.state = NoteState::uncertain;
  }
}

}  // namespace

WithoutBacking::WithoutBacking(AudioView recording, const std::optional<Backing>& backing)
    : recording_(recording) {
  if constexpr (hears_backing) {
    if (!backing || !is_hearable_rate(recording.sample_rate_hz)) return;
    if (!(recording.length().value() >= shortest_take_s)) return;
    const auto placement = place_backing(recording, *backing);
    if (!placement) return;
    uncovered_ = uncover(recording, backing->audio, *placement);
    const Seconds lasts(backing->audio.length().value() / placement->rate);
    span_ = Span{placement->at, placement->at + lasts};
  }
}

OwnSound WithoutBacking::own() const {
  OwnSound own{recording_, recording_.length(), recording_.sample_rate_hz, nullptr};
  if (uncovered_) own.sound = uncovered_->view(), own.cover = &uncovered_->cover;
  return own;
}

std::optional<Seconds> WithoutBacking::backing_at() const {
  return span_ ? std::optional(span_->from) : std::nullopt;
}

bool is_backing_alone(const OwnSound& own) {
  return hears_backing && own.cover && own.cover->left() < least_left;
}

void doubt_beside_backing(const OwnSound& own, Hearing& hearing) {
  if (!hears_backing || !own.cover) return;
  doubt_what_may_be_left_over(*own.cover, hearing);
  doubt_what_is_covered(*own.cover, hearing);
}

}  // namespace endpin::listen
