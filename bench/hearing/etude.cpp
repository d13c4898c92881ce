#include "etude.h"

#include <algorithm>
#include <array>
#include <vector>

#include "endpin/simulator/random.h"
#include "endpin/simulator/tunes.h"

namespace endpin::evaluation {
namespace {

using namespace simulator;

/// Pitches that begin together, and how long they last in quarters.
struct Step {
  std::vector<int> pitches;
  Beats length;
};

const Beats sixteenth(1, 4), eighth(1, 2);

class Composer {
 public:
  Composer(EtudeKind kind, const std::string& instrument, std::uint64_t seed)
      : kind_(kind), open_(open_strings(instrument)), random_(seed) {
    const int fifths = random_.whole(-2, 3);
    static constexpr std::array<int, 7> major{0, 2, 4, 5, 7, 9, 11};
    const int tonic = ((7 * fifths) % 12 + 12) % 12;
    // Up to the third position on the highest string.
    for (int midi = open_.back(); midi <= open_.front() + 10; ++midi) {
      const int above = (midi - tonic + 120) % 12;
      if (std::find(major.begin(), major.end(), above) != major.end()) scale_.push_back(midi);
    }
    tune_.fifths = fifths;
    tune_.title = "Etude of chance";
    tune_.part = tune_.instrument = instrument;
    tune_.tempo_is_given = true;
  }

  Timeline compose(int bars, double bpm) {
    tune_.tempo = TempoMap(Bpm(bpm));
    for (int bar = 0; bar < bars; ++bar) {
      const auto first = tune_.notes.size();
      const auto number = std::to_string(bar + 1);
      tune_.bars.push_back({number, bar, 1, Beats(4 * bar), Beats(4), 4, 4});
      if (kind_ == EtudeKind::voices) {
        add_voices(number, Beats(4 * bar));
        add_voices(number, Beats(4 * bar + 2));
        continue;
      }
      Beats at(4 * bar);
      for (const Step& step : steps()) {
        for (const int midi : step.pitches) add(number, at, step.length, midi);
        at += step.length;
      }
      slur(first);
    }
    return std::move(tune_);
  }

 private:
  int place(int i) const {
    const int top = static_cast<int>(scale_.size()) - 1;
    const int turned = ((i % (2 * top)) + 2 * top) % (2 * top);
    return scale_[static_cast<std::size_t>(turned <= top ? turned : 2 * top - turned)];
  }

  std::vector<Step> steps() {
    switch (kind_) {
      case EtudeKind::running:
        return running();
      case EtudeKind::crossing:
        return crossing();
      case EtudeKind::stopping:
        return stopping();
      case EtudeKind::trilling:
        return trilling();
      case EtudeKind::singing:
        return singing();
      case EtudeKind::voices:
        break;
    }
    return {};
  }

  std::vector<Step> sixteenths(const std::vector<int>& places) {
    std::vector<Step> out;
    for (const int p : places) out.push_back({{place(p)}, sixteenth});
    return out;
  }

  std::vector<Step> running() {
    const int from = random_.whole(0, static_cast<int>(scale_.size()) - 1);
    const int way = random_.chance(0.5) ? 1 : -1;
    const int figure = random_.whole(0, 4);
    std::vector<int> places;
    for (int i = 0; i < 16; ++i) {
      const int scale = from + way * i;
      const int thirds = from + way * (i / 2 + (i % 2 == 1 ? 2 : 0));
      const int chord = from + way * 2 * (i % 8 < 4 ? i % 8 : 8 - i % 8) + (i / 8);
      const int twice = from + way * (i / 2);
      const int turns =
          from + std::array<int, 4>{0, 1, 0, -1}[static_cast<std::size_t>(i % 4)] + way * (i / 4);
      places.push_back(
          std::array<int, 5>{scale, thirds, chord, twice, turns}[static_cast<std::size_t>(figure)]);
    }
    return sixteenths(places);
  }

  std::vector<Step> crossing() {
    const auto string = static_cast<std::size_t>(random_.whole(1, 2));
    const int figure = random_.whole(0, 1);
    const int from = random_.whole(0, static_cast<int>(scale_.size()) - 1);
    std::vector<Step> out;
    for (int i = 0; i < 16; ++i) {
      int midi = i % 2 == 0 ? open_[string] : place(from + i / 4);
      if (figure == 1) midi = place(from + (i % 2 == 0 ? 0 : 9) + i / 8);
      if (midi == (out.empty() ? 0 : out.back().pitches.front())) midi = place(from + 3 + i);
      out.push_back({{midi}, sixteenth});
    }
    return out;
  }

  std::vector<Step> stopping() {
    std::vector<Step> out;
    const int apart = random_.chance(0.5) ? 2 : 5;  // a third, a sixth
    int at = random_.whole(0, static_cast<int>(scale_.size()) - 6);
    for (int i = 0; i < 6; ++i) {
      at = std::clamp(at + random_.whole(-2, 2), 0, static_cast<int>(scale_.size()) - 6);
      out.push_back({{place(at), place(at + apart)}, eighth});
    }
    const int top = static_cast<int>(scale_.size());
    const int root = random_.whole(0, top - 8);
    out.push_back({{place(root), place(root + 4), place(root + 7)}, eighth});
    out.push_back({{place(root + 3)}, sixteenth});
    out.push_back({{place(root + 4)}, sixteenth});
    return out;
  }

  std::vector<Step> trilling() {
    std::vector<Step> out;
    int at = random_.whole(3, static_cast<int>(scale_.size()) - 4);
    for (const Beats length : {eighth, eighth, Beats(1), eighth, eighth, Beats(1)}) {
      at = std::clamp(at + (random_.chance(0.5) ? 1 : -1) * random_.whole(1, 3), 0,
                      static_cast<int>(scale_.size()) - 2);
      out.push_back({{place(at)}, length});
    }
    return out;
  }

  std::vector<Step> singing() {
    static const std::vector<std::vector<Beats>> rhythms{
        {Beats(2), Beats(1), Beats(1)},
        {Beats(3, 2), eighth, Beats(1), Beats(1)},
        {eighth, eighth, eighth, eighth, Beats(2)},
        {Beats(4)},
        {Beats(1), Beats(1), Beats(1), Beats(1)},
        {Beats(3), eighth, eighth},
        {eighth, eighth, Beats(1), Beats(3, 2), eighth}};
    static constexpr std::array<int, 12> moves{1, -1, 1, -1, 1, -1, 2, -2, 0, 4, -4, 7};
    const int top = static_cast<int>(scale_.size()) - 1;
    const auto last = static_cast<int>(rhythms.size()) - 1;
    std::vector<Step> out;
    for (const Beats length : rhythms[static_cast<std::size_t>(random_.whole(0, last))]) {
      singing_at_ += moves[static_cast<std::size_t>(random_.whole(0, 11))];
      if (singing_at_ < 0 || singing_at_ > top) singing_at_ = top / 2;
      out.push_back({{place(singing_at_)}, length});
    }
    return out;
  }

  // Two quarters of two voices.
  void add_voices(const std::string& bar, Beats at) {
    const int top = static_cast<int>(scale_.size()) - 1;
    lower_ = std::clamp(lower_ + random_.whole(-3, 3), 0, top - 9);
    const int upper = lower_ + random_.whole(4, 7);
    const Beats two(2), one(1), long_one(3, 2);
    const auto walk = [&](int from, int count) {
      std::vector<int> pitches;
      for (int i = 0; i < count; ++i) {
        from = std::clamp(from + (i == 0 ? 0 : random_.chance(0.6) ? 1 : -1), 0, top);
        pitches.push_back(place(from));
      }
      return pitches;
    };
    const auto line = [&](int from, Beats begin, Beats length) {
      for (const int midi : walk(from, 4)) {
        add(bar, begin, length, midi);
        begin += length;
      }
    };
    switch (random_.whole(0, 4)) {
      case 0:  // the lower one held
        add(bar, at, two, place(lower_));
        return line(upper + 1, at, eighth);
      case 1:  // the upper one held
        add(bar, at, two, place(upper + 1));
        return line(lower_, at, eighth);
      case 2:  // a chord, then one voice alone
        for (const int above : {0, 4, 7, 9}) {
          if (above < 9 || random_.chance(0.5)) add(bar, at, one, place(lower_ + above));
        }
        return line(upper, at + one, sixteenth);
      case 3:  // one after the other
        add(bar, at, one, place(lower_));
        add(bar, at, long_one, place(upper));
        add(bar, at + one, one, place(lower_ + (random_.chance(0.5) ? 1 : -1) + (lower_ == 0)));
        return add(bar, at + long_one, eighth, place(upper + 1));
      default:  // the upper one twice as fast
        const auto slow = walk(lower_, 2), quick = walk(upper, 4);
        for (std::size_t i = 0; i < 4; ++i) {
          if (i % 2 == 0) add(bar, at, one, slow[i / 2]);
          add(bar, at, eighth, quick[i]);
          at += eighth;
        }
    }
  }

  void add(const std::string& bar, Beats at, Beats length, int midi) {
    TimelineNote note;
    note.index = static_cast<int>(tune_.notes.size());
    note.id = "n" + std::to_string(note.index);
    note.bar = bar;
    note.onset = at;
    note.duration = length;
    note.midi = midi;
    note.spelled = spell(midi, tune_.fifths);
    const auto string = std::find_if(open_.begin(), open_.end(), [&](int o) { return o <= midi; });
    note.string = static_cast<int>(string - open_.begin()) + 1;
    note.open = string != open_.end() && *string == midi;
    note.finger = note.open ? 0 : 2;
    tune_.notes.push_back(note);
  }

  void slur(std::size_t first) {
    static constexpr std::array<std::size_t, 6> sizes{1, 1, 1, 2, 4, 8};
    const std::size_t size = sizes[static_cast<std::size_t>(random_.whole(0, 5))];
    if (size == 1 || kind_ == EtudeKind::stopping) return;
    for (std::size_t i = first; i < tune_.notes.size(); ++i) {
      if (i > first && (i - first) % size != 0 && tune_.notes[i].midi == tune_.notes[i - 1].midi) {
        return;  // a pitch twice in a slur is another matter
      }
    }
    for (std::size_t i = first; i < tune_.notes.size(); ++i) {
      if ((i - first) % size == 0) ++slurs_;
      tune_.notes[i].slur_id = slurs_;
    }
  }

  EtudeKind kind_;
  std::vector<int> open_, scale_;
  Random random_;
  Timeline tune_;
  int slurs_ = 0;
  int singing_at_ = 8;
  int lower_ = 3;
};

}  // namespace

const char* name(EtudeKind kind) {
  static constexpr std::array<const char*, 6> names{"running",  "crossing", "stopping",
                                                    "trilling", "singing",  "voices"};
  return names[static_cast<std::size_t>(kind)];
}

Timeline etude(EtudeKind kind, const std::string& instrument, int bars, double bpm,
               std::uint64_t seed) {
  return Composer(kind, instrument, seed).compose(bars, bpm);
}

namespace {

void trill(Plan& plan) {
  constexpr int shakes = 6;
  std::vector<Intent> with_trills;
  for (const Intent& intent : plan.intents) {
    with_trills.push_back(intent);
    if (intent.length < 1) continue;
    Intent& main = with_trills.back();
    main.length = 0.25;
    for (int i = 0; i < shakes; ++i) {
      Intent shake = intent;
      shake.index = -1;
      shake.at = intent.at + 0.25 + 0.125 * i;
      shake.length = 0.125;
      shake.midi = intent.midi + (i % 2 == 0 ? 2 : 0);
      shake.joined = true;
      with_trills.push_back(shake);
    }
  }
  plan.intents = std::move(with_trills);
}

// A note is held under those that begin while it lasts, and they go on in its stroke; or it is let
// go when the first of them begins.
void hold(Plan& plan, Random& random) {
  constexpr double held_in = 0.6;
  auto& intents = plan.intents;
  for (std::size_t i = 0; i < intents.size(); ++i) {
    std::vector<std::size_t> during;
    for (std::size_t j = i + 1; j < intents.size(); ++j) {
      if (intents[j].at > intents[i].at + intents[i].length - 1e-6) break;
      if (intents[j].at > intents[i].at) during.push_back(j);
    }
    if (during.empty()) continue;
    intents[i].held = random.chance(held_in);
    if (!intents[i].held) {
      intents[i].length = intents[during.front()].at - intents[i].at;
      continue;
    }
    for (const std::size_t j : during) {
      // What is held on the same string is let go all the same.
      intents[j].joined = intents[j].string == intents[j - 1].string;
    }
  }
}

// Of more than two notes that begin together all but the upper two come before, and end with them.
void break_chords(Plan& plan, double quarter_s, Random& random) {
  auto& intents = plan.intents;
  for (std::size_t i = 0; i < intents.size();) {
    std::size_t end = i;
    while (end < intents.size() && intents[end].at == intents[i].at) ++end;
    const double before = random.uniform(0.06, 0.14) / quarter_s;
    for (std::size_t j = i; j + 2 < end; ++j) {
      intents[j].at -= before;
      intents[j].length = before;
    }
    i = end;
  }
}

}  // namespace

Plan plan_of(EtudeKind kind, const Timeline& timeline, std::uint64_t seed) {
  auto plan = simulator::plan_of(timeline);
  Random random(seed ^ 0x7071);
  if (kind == EtudeKind::trilling) trill(plan);
  if (kind == EtudeKind::voices) {
    hold(plan, random);
    break_chords(plan, 60 / timeline.tempo.tempo_at(Beats(0)).value(), random);
  }
  return plan;
}

}  // namespace endpin::evaluation
