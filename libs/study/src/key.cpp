#include "endpin/study/key.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

namespace endpin {
namespace {

constexpr std::array<std::string_view, 7> mode_names{"major",  "minor",      "dorian", "phrygian",
                                                     "lydian", "mixolydian", "locrian"};
constexpr std::array<std::string_view, 4> form_names{"none", "natural", "harmonic", "melodic"};

// How many fifths a mode's tonic lies above the major tonic of the same signature.
constexpr std::array<int, 7> tonic_above{0, 3, 2, 4, -1, 1, 5};
constexpr std::array<Mode, 7> modes{Mode::major,  Mode::minor,      Mode::dorian, Mode::phrygian,
                                    Mode::lydian, Mode::mixolydian, Mode::locrian};

// How the evidence adds up. All ours: where a tune comes to rest says most, then how it opens and
// the fit of the profiles; a signature is seldom wrong; most tunes are major, and some modes are
// rare. Dances that go round do not come to rest at all: then the last bar's time is spread over
// many notes, and says little by itself.
constexpr double last_note_weight = 0.4;
constexpr double resting_weight = 0.4;
constexpr double section_end_weight = 0.25;
constexpr double last_in_chord_weight = 0.2;
constexpr double opening_weight = 0.35;
constexpr double opening_chord_weight = 0.35;
constexpr double fit_weight = 1;
constexpr double leading_tone_weight = 0.35;
constexpr double outside_weight = 3;  // times the share of notes outside the scale
constexpr double other_signature_cost = 0.8;
constexpr double declared_weight = 1.2;
constexpr double declared_major_weight = 0.45;  // many programs write "major" whatever the piece
constexpr std::array<double, 7> mode_prior{0.4, 0.15, 0, -0.5, -0.5, 0, -1};

int pitch_class(const SpelledPitch& pitch) { return pitch.midi() % 12; }

// Time that each pitch class has in a bar, as a share of what sounds in it.
using Shares = PitchClasses;

struct Evidence {
  PitchClasses weights{};
  double total = 0;
  int last = 0;              // pitch class of the last note, the lowest of a chord
  double last_length = 1;    // 1 if it lasts half a bar or longer
  Shares opening{};          // of the first whole bar
  std::vector<Shares> ends;  // of the last bar of each section, the tune's own end last
  int signature = 0;
  std::string_view declared;
};

Shares shares_in(const Timeline& timeline, const TimelineBar& bar) {
  Shares shares{};
  double total = 0;
  for (const TimelineNote& note : timeline.notes) {
    if (note.onset < bar.start || note.onset >= bar.start + bar.length) continue;
    const double duration = std::min(note.duration, bar.length).to_double();
    shares[static_cast<std::size_t>(note.midi % 12)] += duration;
    total += duration;
  }
  if (total > 0) {
    for (double& share : shares) share /= total;
  }
  return shares;
}

bool is_section_end(const Timeline& timeline, std::size_t bar) {
  return bar + 1 == timeline.bars.size() ||
         timeline.bars[bar + 1].written_index != timeline.bars[bar].written_index + 1;
}

void read_endings(Evidence& e, const Timeline& timeline) {
  const Beats last_onset = timeline.notes.back().onset;
  for (const TimelineNote& note : timeline.notes) {
    if (note.onset != last_onset) continue;
    e.last = note.midi % 12;
    if (!timeline.bars.empty()) {
      const double bar = timeline.bars.back().length.to_double();
      e.last_length = bar > 0 ? std::min(1.0, 2 * note.duration.to_double() / bar) : 1;
    }
    break;
  }
  for (std::size_t bar = 0; bar < timeline.bars.size(); ++bar) {
    if (is_section_end(timeline, bar)) e.ends.push_back(shares_in(timeline, timeline.bars[bar]));
  }
}

void read_opening(Evidence& e, const Timeline& timeline) {
  if (timeline.bars.empty()) return;
  const bool pickup = timeline.bars.size() > 1 && timeline.bars[0].length < timeline.bars[1].length;
  e.opening = shares_in(timeline, timeline.bars[pickup ? 1 : 0]);
}

Evidence evidence(const Timeline& timeline, std::string_view declared) {
  Evidence e;
  e.weights = pitch_classes(timeline);
  for (const double w : e.weights) e.total += w;
  e.signature = timeline.fifths;
  e.declared = declared;
  if (timeline.notes.empty()) return e;
  read_endings(e, timeline);
  read_opening(e, timeline);
  return e;
}

double of(const Shares& shares, int pitch_class) {
  return shares[static_cast<std::size_t>((pitch_class + 24) % 12)];
}

// Half a bar on one note is rest enough.
double rest_on(const Shares& shares, int tonic) { return std::min(1.0, 2 * of(shares, tonic)); }

double ending_score(const Evidence& e, int tonic) {
  double sum = e.last == tonic ? last_note_weight * e.last_length : 0;
  if (e.ends.empty()) return sum;
  sum += resting_weight * rest_on(e.ends.back(), tonic);
  double sections = 0;
  for (const Shares& end : e.ends) sections += rest_on(end, tonic);
  return sum + section_end_weight * sections / static_cast<double>(e.ends.size());
}

double opening_score(const Evidence& e, int tonic, int third) {
  const double chord = of(e.opening, tonic) + of(e.opening, third) + of(e.opening, tonic + 7);
  return opening_weight * rest_on(e.opening, tonic) + opening_chord_weight * chord;
}

double share(const Evidence& e, int pitch_class) {
  return e.total > 0 ? of(e.weights, pitch_class) / e.total : 0;
}

double fit(const Evidence& e, const Key& key) {
  const int tonic = pitch_class(key.tonic);
  return (mode_fit(e.weights, tonic, key.mode, Profile::krumhansl) +
          mode_fit(e.weights, tonic, key.mode, Profile::temperley)) /
         2;
}

// Semitones of each mode's scale; minor has both its sixths and sevenths.
constexpr std::array<std::array<bool, 12>, 7> scales{{
    {1, 0, 1, 0, 1, 1, 0, 1, 0, 1, 0, 1},
    {1, 0, 1, 1, 0, 1, 0, 1, 1, 1, 1, 1},
    {1, 0, 1, 1, 0, 1, 0, 1, 0, 1, 1, 0},
    {1, 1, 0, 1, 0, 1, 0, 1, 1, 0, 1, 0},
    {1, 0, 1, 0, 1, 0, 1, 1, 0, 1, 0, 1},
    {1, 0, 1, 0, 1, 1, 0, 1, 0, 1, 1, 0},
    {1, 1, 0, 1, 0, 1, 1, 0, 1, 0, 1, 0},
}};

double outside_share(const Evidence& e, const Key& key) {
  const auto& scale = scales[static_cast<std::size_t>(key.mode)];
  double outside = 0;
  for (int degree = 0; degree < 12; ++degree) {
    if (!scale[static_cast<std::size_t>(degree)])
      outside += share(e, pitch_class(key.tonic) + degree);
  }
  return outside;
}

double declared_score(const Evidence& e, Mode mode) {
  const std::string_view word = e.declared == "aeolian"  ? "minor"
                                : e.declared == "ionian" ? "major"
                                                         : e.declared;
  if (word.empty() || word == "none") return 0;
  const double weight = word == "major" ? declared_major_weight : declared_weight;
  return word == name(mode) ? weight : 0;
}

double score(const Evidence& e, const Key& key) {
  const int tonic = pitch_class(key.tonic);
  double sum = mode_prior[static_cast<std::size_t>(key.mode)];
  const int third = tonic + (is_minor(key.mode) ? 3 : 4);
  sum += ending_score(e, tonic);
  sum += opening_score(e, tonic, third);
  if (e.last == third % 12 || e.last == (tonic + 7) % 12) sum += last_in_chord_weight;
  sum += fit_weight * fit(e, key) - outside_weight * outside_share(e, key);
  if (key.mode == Mode::minor && share(e, tonic + 11) > share(e, tonic + 10)) {
    sum += leading_tone_weight;
  }
  if (key.fifths() != e.signature) {
    sum -= other_signature_cost + 0.1 * std::abs(key.fifths() - e.signature);
  }
  return sum + declared_score(e, key.mode);
}

std::vector<Key> candidates(int signature) {
  std::vector<Key> list;
  for (const Mode mode : modes) {
    const int above = tonic_above[static_cast<std::size_t>(mode)];
    list.push_back({from_line_of_fifths(signature + above, 4), mode});
  }
  for (int fifths = -7; fifths <= 7; ++fifths) {
    if (fifths == signature) continue;
    list.push_back({from_line_of_fifths(fifths, 4), Mode::major});
    list.push_back({from_line_of_fifths(fifths + 3, 4), Mode::minor});
  }
  return list;
}

Key best_by_profile(const Evidence& e, Profile profile) {
  Key best;
  double best_fit = -2;
  for (const Key& key : candidates(e.signature)) {
    if (key.mode != Mode::major && key.mode != Mode::minor) continue;
    const double fit = profile_fit(e.weights, pitch_class(key.tonic), is_minor(key.mode), profile) -
                       0.001 * std::abs(key.fifths() - e.signature);
    if (fit > best_fit) best_fit = fit, best = key;
  }
  return best;
}

MinorForm minor_form(const Evidence& e, const Key& key) {
  if (key.mode != Mode::minor) return MinorForm::none;
  const int tonic = pitch_class(key.tonic);
  if (share(e, tonic + 11) == 0) return MinorForm::natural;
  return share(e, tonic + 9) > 0 ? MinorForm::melodic : MinorForm::harmonic;
}

std::string signature_key(int fifths) {
  if (fifths == 0) return "signature.none";
  return (fifths > 0 ? "signature.sharps-" : "signature.flats-") + argument(std::abs(fifths));
}

// "The signature has one flat, but the notes fit two sharps."
Sentence disagreement(int printed, int heard) {
  return {"study.key.disagrees",
          {{"printed", signature_key(printed)}, {"heard", signature_key(heard)}}};
}

}  // namespace

bool is_minor(Mode mode) {
  return mode == Mode::minor || mode == Mode::dorian || mode == Mode::phrygian ||
         mode == Mode::locrian;
}

int Key::fifths() const {
  return line_of_fifths(tonic) - tonic_above[static_cast<std::size_t>(mode)];
}

KeyFinding find_key(const Timeline& timeline, std::string_view declared) {
  const Evidence e = evidence(timeline, declared);
  KeyFinding finding;
  finding.signature = e.signature;
  double best = -1e9;
  double second = -1e9;
  for (const Key& key : candidates(e.signature)) {
    const double sum = score(e, key);
    if (sum > best) {
      second = best;
      finding.second = finding.key;
      best = sum;
      finding.key = key;
    } else if (sum > second) {
      second = sum;
      finding.second = key;
    }
  }
  finding.margin = best - second;
  finding.agrees = finding.key.fifths() == e.signature;
  finding.form = minor_form(e, finding.key);
  finding.by_krumhansl = best_by_profile(e, Profile::krumhansl);
  finding.by_temperley = best_by_profile(e, Profile::temperley);
  finding.says = key_sentence(finding.key);
  if (!finding.agrees) finding.disagreement = disagreement(e.signature, finding.key.fifths());
  return finding;
}

Sentence key_sentence(const Key& key) {
  std::string tonic = key.tonic.text();
  tonic.pop_back();  // the octave
  return {"key." + std::string(name(key.mode)), {{"tonic", tonic}}};
}

std::string_view name(Mode mode) { return mode_names[static_cast<std::size_t>(mode)]; }
std::string_view name(MinorForm form) { return form_names[static_cast<std::size_t>(form)]; }

}  // namespace endpin
