#include "endpin/study/counting.h"

#include <algorithm>
#include <array>
#include <map>

#include "endpin/words/note_names.h"

#include "bars.h"

namespace endpin {
namespace {

using study_internal::WrittenBar;

enum class Scheme { numbers, takadimi, ta_titi };
enum class BeatKind { simple, compound };
constexpr std::array<CountingScheme, 3> schemes{{{"numbers"}, {"takadimi"}, {"ta-titi"}}};

struct AtPlace {
  Scheme scheme;
  BeatKind beat;
  int numerator;
  int denominator;
  std::string_view key;
};
constexpr AtPlace at_places[] = {
#define AT(scheme, beat, numerator, denominator, key) \
  {Scheme::scheme, BeatKind::beat, numerator, denominator, key},
#define LASTS(scheme, numerator, denominator, key)
#include "endpin/study/counting.def"
#undef AT
#undef LASTS
};

struct Lasting {
  Scheme scheme;
  int numerator;
  int denominator;
  std::string_view key;
};
constexpr Lasting lastings[] = {
#define AT(scheme, beat, numerator, denominator, key)
#define LASTS(scheme, numerator, denominator, key) {Scheme::scheme, numerator, denominator, key},
#include "endpin/study/counting.def"
#undef AT
#undef LASTS
};

std::string_view key_at(Scheme scheme, BeatKind beat, Beats in_beat) {
  for (const AtPlace& at : at_places) {
    if (at.scheme == scheme && at.beat == beat && in_beat == Beats(at.numerator, at.denominator)) {
      return at.key;
    }
  }
  return {};
}

std::string_view key_lasting(Scheme scheme, Beats duration) {
  for (const Lasting& lasting : lastings) {
    if (lasting.scheme == scheme && duration == Beats(lasting.numerator, lasting.denominator)) {
      return lasting.key;
    }
  }
  return {};
}

Beats floor_of(Beats value) { return Beats(value.numerator() / value.denominator()); }

// What a bar is counted in, which need not be what the click counts: 3/4 with one click a bar is
// still counted in three.
struct Pulse {
  Beats beat;
  BeatKind kind = BeatKind::simple;
};

Pulse pulse_of(const WrittenBar& bar, Beats beat_unit) {
  const Beats small(4, bar.beat_type);
  if (bar.beat == small || beat_unit == small) return {small, BeatKind::simple};
  return {bar.beat, BeatKind::compound};
}

class BarCounter {
 public:
  BarCounter(Scheme scheme, const WrittenBar& bar, Beats beat_unit, Beats sounding_until)
      : scheme_(scheme),
        bar_(bar),
        pulse_(pulse_of(bar, beat_unit)),
        sounding_until_(sounding_until) {}

  CountedBar count() {
    for (const TimelineNote* note : bar_.notes) begin_note(*note);
    add_beats();
    CountedBar counted{bar_.number, {}, difficulty()};
    for (auto& [at, place] : places_) counted.places.push_back(std::move(place));
    return counted;
  }

 private:
  Beats in_beats(Beats at) const { return (bar_.begins + at) / pulse_.beat; }

  Sentence syllable(Beats at, Beats duration) const {
    const Beats beats = in_beats(at);
    const Beats in_beat = beats - floor_of(beats);
    const std::string_view here = key_at(scheme_, pulse_.kind, in_beat);
    const std::string_view lasting = key_lasting(scheme_, duration);
    const bool by_place = lasting.empty() || (!here.empty() && duration < Beats(1, 2));
    std::string key(by_place ? here : lasting);
    if (key.empty()) key = other();
    return {key, {{"beat", floor_of(beats + Beats(1)).text()}}};
  }

  std::string other() const {
    return "count." + std::string(schemes[static_cast<std::size_t>(scheme_)].id) + ".other";
  }

  void begin_note(const TimelineNote& note) {
    const Beats at = note.onset - bar_.start;
    CountedPlace& place = places_[at];
    if (place.notes.empty()) place = {at, syllable(at, note.duration), {}, {}, {}};
    place.notes.push_back(note.id);
    place.pitches.push_back(note.spelled);
    ends_[at] = std::max(ends_[at], at + note.duration);
  }

  bool sounds(Beats at) const {
    if (bar_.start + at < sounding_until_) return true;
    return std::any_of(ends_.begin(), ends_.end(),
                       [&](const auto& span) { return span.first < at && at < span.second; });
  }

  // Beats at which nothing begins: counted all the same.
  void add_beats() {
    Beats number = floor_of(in_beats(Beats(0)));
    if (number < in_beats(Beats(0))) number += Beats(1);
    for (; number * pulse_.beat - bar_.begins < bar_.length; number += Beats(1)) {
      const Beats at = number * pulse_.beat - bar_.begins;
      if (places_.contains(at)) continue;
      const bool held = sounds(at);
      // A scheme of values says a held note in one word.
      if (held && scheme_ == Scheme::ta_titi) continue;
      Sentence says = syllable(at, pulse_.beat);
      if (scheme_ == Scheme::ta_titi) says = {"count.ta-titi.rest", {}};
      places_[at] = {at, says, held ? CountedPlace::Kind::held : CountedPlace::Kind::rest, {}, {}};
    }
  }

  // Ours: what a place in the beat asks for, a note that holds over the next beat, and each change
  // of value. 1 is a bar with one syncopation or one sixteenth off the beat.
  double difficulty() const {
    double sum = 0;
    Beats last_duration(0);
    for (const auto& [at, end] : ends_) {
      const Beats beats = in_beats(at);
      const Beats in_beat = beats - floor_of(beats);
      sum += place_difficulty(in_beat);
      if (in_beat != Beats(0) && in_beats(end) > floor_of(beats) + Beats(1)) sum += 1;
      if (last_duration != Beats(0) && end - at != last_duration) sum += 0.2;
      last_duration = end - at;
    }
    return sum;
  }

  double place_difficulty(Beats in_beat) const {
    if (in_beat == Beats(0)) return 0;
    if (in_beat == Beats(1, 2) && pulse_.kind == BeatKind::simple) return 0.3;
    if (in_beat.denominator() == 3) return pulse_.kind == BeatKind::compound ? 0.2 : 1;
    return 0.8;
  }

  Scheme scheme_;
  const WrittenBar& bar_;
  Pulse pulse_;
  Beats sounding_until_;
  std::map<Beats, CountedPlace> places_;
  std::map<Beats, Beats> ends_;
};

// Below this a bar's rhythm is no trouble (ours).
constexpr double plain = 0.5;

std::optional<std::size_t> hardest_of(const std::vector<CountedBar>& bars) {
  const auto most = std::max_element(
      bars.begin(), bars.end(),
      [](const CountedBar& a, const CountedBar& b) { return a.difficulty < b.difficulty; });
  if (most == bars.end() || most->difficulty < plain) return std::nullopt;
  return static_cast<std::size_t>(most - bars.begin());
}

std::size_t width(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0) != 0x80;  // not a byte that continues a letter
  }));
}

std::string said(const CountedPlace& place, Language language) {
  const std::string text = say(place.says, language);
  if (place.kind == CountedPlace::Kind::held) return "(" + text + ")";
  if (place.kind == CountedPlace::Kind::rest) return "[" + text + "]";
  return text;
}

}  // namespace

std::span<const CountingScheme> counting_schemes() { return schemes; }

const CountingScheme* find_counting_scheme(std::string_view id) {
  if (id.empty()) return &schemes.front();
  const auto* found = std::find_if(schemes.begin(), schemes.end(),
                                   [&](const CountingScheme& s) { return s.id == id; });
  return found == schemes.end() ? nullptr : found;
}

Counting count_bars(const Timeline& timeline, std::string_view id) {
  const CountingScheme* found = find_counting_scheme(id);
  const auto number = static_cast<std::size_t>(found ? found - schemes.data() : 0);
  Counting counting{std::string(schemes[number].id), {}, {}};
  Beats until(0);
  std::size_t next = 0;  // the first note that does not count into `until` yet
  for (const WrittenBar& bar : study_internal::written_bars(timeline)) {
    for (; next < timeline.notes.size() && timeline.notes[next].onset < bar.start; ++next) {
      until = std::max(until, timeline.notes[next].onset + timeline.notes[next].duration);
    }
    counting.bars.push_back(
        BarCounter(static_cast<Scheme>(number), bar, timeline.beat_unit, until).count());
  }
  counting.hardest = hardest_of(counting.bars);
  return counting;
}

std::string_view name(CountedPlace::Kind kind) {
  constexpr std::array<std::string_view, 3> names{"note", "held", "rest"};
  return names[static_cast<std::size_t>(kind)];
}

std::string describe(const CountedBar& bar, Language language) {
  std::string above;
  std::string below;
  for (const CountedPlace& place : bar.places) {
    const std::string note =
        place.pitches.empty() ? "" : note_name_with_octave(place.pitches.front(), language);
    const std::string syllable = said(place, language);
    const std::size_t column = std::max(width(note), width(syllable)) + 1;
    above += note + std::string(column - width(note), ' ');
    below += syllable + std::string(column - width(syllable), ' ');
  }
  const auto trimmed = [](std::string line) {
    line.erase(line.find_last_not_of(' ') + 1);
    return line;
  };
  return trimmed(above) + "\n" + trimmed(below) + "\n";
}

}  // namespace endpin
