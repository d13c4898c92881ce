#include "endpin/instrument/stops.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <tuple>

namespace endpin {
namespace {

constexpr double semitones_per_letter = 12.0 / 7.0;

// A letter's usual places are a semitone apart; a note lies in a letter's ground if it is at most
// this far from the letter's middle: a tritone (6 semitones) is both a high fourth and a low fifth.
constexpr double own_letter_ground = 2.0;
constexpr double other_letter_ground = 1.2;

bool allowed(const Reach& reach, int hand) {
  return hand >= reach.lowest_hand && hand <= reach.highest_hand;
}

// The half position's first finger lies low; its name is 0, so its letter is the open string's own.
bool stands(int hand, int finger, int above_open) {
  if (hand < 0) return false;
  return hand > 0 || (above_open >= finger && above_open <= finger + 2);
}

void add_letter_stops(std::vector<Stop>& list, const Stop& base, int letters, const Reach& reach) {
  const auto add = [&](int finger, int hand, Extension extension) {
    if (!allowed(reach, hand) || !stands(hand, finger, base.above_open)) return;
    Stop stop = base;
    stop.finger = finger;
    stop.hand = hand;
    stop.extension = extension;
    list.push_back(stop);
  };
  for (int finger = 1; finger <= 4; ++finger) add(finger, letters - finger + 1, Extension::none);
  if (!reach.extensions) return;
  if (letters - 4 >= 1) add(4, letters - 4, Extension::forward);
  if (letters >= 1) add(1, letters + 1, Extension::backward);
}

void letter_stops(std::vector<Stop>& list, const Instrument& instrument, SpelledPitch pitch,
                  const Stop& base, const Reach& reach) {
  // The open string's letter raised is a low first finger to players, as its neighbour lowered is.
  const int written = pitch.staff_step() - instrument.open(base.string).staff_step();
  const int own = base.above_open == 1 ? std::max(written, 1) : written;
  for (int letters = std::max(own - 1, 0); letters <= own + 1; ++letters) {
    const double off = std::abs(base.above_open - semitones_per_letter * letters);
    if (off > (letters == own ? own_letter_ground : other_letter_ground) + 1e-9) continue;
    Stop stop = base;
    stop.other_letter = letters != own;
    add_letter_stops(list, stop, letters, reach);
  }
}

bool already_closed(const std::vector<Stop>& list, const Stop& stop) {
  return std::any_of(list.begin(), list.end(), [&](const Stop& other) {
    return other.string == stop.string && other.finger == stop.finger && other.hand == stop.hand &&
           other.thumb == stop.thumb && other.extension == stop.extension;
  });
}

void frame_stops(std::vector<Stop>& list, const Instrument& instrument, const Stop& base,
                 const Reach& reach) {
  for (std::size_t f = 0; f < instrument.frames.size(); ++f) {
    const HandFrame& frame = instrument.frames[f];
    if (frame.extension != Extension::none && !reach.extensions) continue;
    if (frame.thumb != no_finger && !reach.thumb) continue;
    for (int finger = 1; finger <= 5; ++finger) {
      const int offset =
          finger == 5 ? frame.thumb : frame.fingers[static_cast<std::size_t>(finger - 1)];
      if (offset == no_finger) continue;
      Stop stop = base;
      stop.finger = finger;
      stop.hand = base.above_open - offset;
      stop.extension = frame.extension;
      stop.thumb = frame.thumb != no_finger;
      stop.frame = static_cast<int>(f);
      if (stop.hand < frame.lowest_hand || stop.hand > frame.highest_hand) continue;
      if (allowed(reach, stop.hand) && !already_closed(list, stop)) list.push_back(stop);
    }
  }
}

// Half position comes after first: a lone low first finger, or one that stretches back, is learnt
// in first position.
const Stop& plainest(const Instrument& instrument, const std::vector<Stop>& list) {
  const auto rank = [&](const Stop& s) {
    const bool half = s.finger != 0 && position_of(instrument, s.hand).number == 0;
    return std::tuple(s.other_letter, half, s.extension != Extension::none, s.hand, s.finger);
  };
  return *std::min_element(list.begin(), list.end(),
                           [&](const Stop& a, const Stop& b) { return rank(a) < rank(b); });
}

}  // namespace

std::vector<Stop> stops(const Instrument& instrument, SpelledPitch pitch, const Reach& reach) {
  std::vector<Stop> list;
  for (int string = 1; string <= 4; ++string) {
    Stop base;
    base.string = string;
    base.above_open = pitch.midi() - instrument.open(string).midi();
    if (base.above_open < 0) continue;
    if (base.above_open == 0) list.push_back(base);
    if (base.above_open == 0 || base.above_open > reach.highest_stopped) continue;
    if (instrument.count == HandCount::letters) {
      letter_stops(list, instrument, pitch, base, reach);
    } else {
      frame_stops(list, instrument, base, reach);
    }
  }
  return list;
}

double hand_place(const Instrument& instrument, int hand) {
  if (instrument.count == HandCount::semitones) return hand;
  return hand == 0 ? 1.0 : semitones_per_letter * hand;
}

const Position& position_of(const Instrument& instrument, int hand) {
  if (instrument.count == HandCount::semitones) return position_at(instrument, hand);
  const auto last = static_cast<int>(instrument.positions.size()) - 1;
  return instrument.positions[static_cast<std::size_t>(std::clamp(hand, 0, last))];
}

FingerShape finger_shape(const Instrument& instrument, const Stop& stop) {
  if (stop.extension == Extension::backward) return FingerShape::extended_back;
  if (stop.extension == Extension::forward) return FingerShape::extended;
  if (instrument.count == HandCount::semitones || stop.finger == 0) return FingerShape::plain;
  // Letters above the open string, and how far the finger lies from their middle. In first
  // position: low 1 +1, 1 +2, low 2 +3, high 2 +4, 3 +5, high 3 or low 4 +6, 4 +7.
  const int letters = stop.hand + stop.finger - 1;
  static constexpr int plain[7] = {0, 2, 4, 5, 7, 9, 11};  // the major scale on the string
  const int off = stop.above_open - (plain[letters % 7] + 12 * (letters / 7));
  if (stop.finger == 2 && stop.hand == 1) {
    return stop.above_open <= 3 ? FingerShape::low : FingerShape::high;
  }
  if (off < 0) return FingerShape::low;
  return off > 0 ? FingerShape::high : FingerShape::plain;
}

std::optional<Stop> first_learnt_stop(const Instrument& instrument, SpelledPitch pitch) {
  for (const std::string_view step : {"first-position", "extensions", "lower-positions", "thumb"}) {
    const std::vector<Stop> list = stops(instrument, pitch, reach(instrument, step));
    if (!list.empty()) return plainest(instrument, list);
  }
  return std::nullopt;
}

std::optional<Stop> stop_with(const Instrument& instrument, SpelledPitch pitch, int string,
                              int finger) {
  std::vector<Stop> list = stops(instrument, pitch, instrument.reaches.back());
  std::erase_if(list, [&](const Stop& s) { return s.string != string || s.finger != finger; });
  if (list.empty()) return std::nullopt;
  return plainest(instrument, list);
}

}  // namespace endpin
