// Flat, sharp, a string out of tune. One cause that explains many notes is said once.
#include <algorithm>
#include <cmath>
#include <set>

#include "quantiles.h"
#include "verdicts/take_view.h"

namespace endpin::listen {
namespace {

constexpr double most_doubt_cents = 7;  // of a note that is judged
constexpr double steady_doubt_cents = 3;
constexpr double least_confidence = 0.93, steady_confidence = 0.9;
constexpr double steady_cents = 58;         // beyond, another tone is as likely
constexpr double shortest_s = 0.25;         // in a shorter note its neighbours have a part (ours)
constexpr double shortest_steady_s = 0.35;  // rooms and others blend with what is shorter (ours)
constexpr std::size_t fewest_notes = 3;     // that make a tendency (ours)
constexpr double most_agree = 0.75;         // of them lie on that side

struct Pitched {
  int index;
  double cents, doubt;
};

std::vector<Pitched> judged_notes(const TakeView& take) {
  std::vector<Pitched> notes;
  for (int i = 0; i < take.size(); ++i) {
    if (!take.heard(i) || !take.alone(i)) continue;
    const HeardNote& h = take.sound(i);
    const TimelineNote& w = take.written(i);
    if (!h.intonation || !h.uncertainty || w.ornament != Ornament::none || w.harmonic) continue;
    const double length = (h.offset.value_or(h.onset) - h.onset).value();
    if (length < shortest_s || h.uncertainty->value() > most_doubt_cents) continue;
    // Where only its beginning is in doubt, a steady pitch is still its pitch.
    const bool steady = h.confidence > steady_confidence && length >= shortest_steady_s &&
                        h.uncertainty->value() < steady_doubt_cents &&
                        std::abs(h.intonation->value()) < steady_cents;
    if (h.confidence < least_confidence && !steady) continue;
    notes.push_back({i, h.intonation->value(), h.uncertainty->value()});
  }
  return notes;
}

double middle(std::vector<double> v) { return v.empty() ? 0 : middle_of(std::move(v)); }

class PitchVerdicts {
 public:
  PitchVerdicts(const TakeView& take, Findings& out)
      : take_(take), out_(out), notes_(judged_notes(take)) {}

  void run() {
    strings();
    fingers();
    single();
  }

 private:
  // Middle deviation of a group's notes and of all the others.
  struct Group {
    std::vector<Pitched> notes;
    double cents = 0, others = 0;
    double agree = 0;
  };

  template <typename F>
  Group group(F&& belongs) const {
    Group g;
    std::vector<double> in, out;
    for (const Pitched& p : notes_) {
      if (said_.contains(p.index)) continue;
      if (belongs(p.index)) {
        g.notes.push_back(p);
        in.push_back(p.cents);
      } else {
        out.push_back(p.cents);
      }
    }
    g.cents = middle(in);
    g.others = middle(out);
    int same = 0;
    for (double c : in)
      same += std::abs(c) > 0.5 * take_.limits().tendency_cents && c * g.cents > 0;
    g.agree = in.empty() ? 0 : static_cast<double>(same) / static_cast<double>(in.size());
    return g;
  }

  bool tends(const Group& g) const {
    return g.notes.size() >= fewest_notes && g.agree >= most_agree &&
           std::abs(g.cents) >= take_.limits().tendency_cents &&
           std::abs(g.cents - g.others) >= take_.limits().tendency_cents;
  }

  void say(const Group& g, FindingKind kind, const std::string& key, const char* name,
           std::string value) {
    std::vector<int> notes;
    for (const Pitched& p : g.notes) {
      if (std::abs(p.cents) > 0.5 * take_.limits().tendency_cents && p.cents * g.cents > 0)
        notes.push_back(p.index);
    }
    Finding f = take_.about(kind, notes, key);
    f.message_args[name] = std::move(value);
    f.message_args["count"] = static_cast<double>(notes.size());
    f.message_args["total"] = static_cast<double>(g.notes.size());
    finish(f, g.cents, 0.9);
    for (int i : notes) said_.insert(i);
  }

  void finish(Finding& f, double cents, double confidence) {
    f.message_args["cents"] = std::round(std::abs(cents));
    if (take_.hearing().reference.a4) {
      f.message_args["a4"] = std::round(take_.hearing().reference.a4->value());
    }
    f.evidence["intonation_cents"] = cents;
    f.confidence = confidence;
    out_.push_back(std::move(f));
  }

  void strings() {
    for (int string = 1; string <= 4; ++string) {
      const Group g = group([&](int i) { return take_.written(i).string == string; });
      if (!tends(g)) continue;
      std::vector<double> open;
      std::set<int> fingers;
      for (const Pitched& p : g.notes) {
        if (take_.written(p.index).open || take_.written(p.index).finger == 0)
          open.push_back(p.cents);
        if (take_.written(p.index).finger) fingers.insert(*take_.written(p.index).finger);
      }
      // The string, not the hand: its open sound is off too, and more than one finger with it.
      if (open.empty() || std::abs(middle(open)) < 0.7 * take_.limits().tendency_cents ||
          middle(open) * g.cents < 0 || fingers.size() < 2)
        continue;
      say(g, FindingKind::string_out_of_tune,
          g.cents < 0 ? "finding.string.low" : "finding.string.high", "string",
          std::to_string(string));
    }
  }

  void fingers() {
    for (int finger = 1; finger <= 4; ++finger) {
      const Group g = group([&](int i) { return take_.written(i).finger == finger; });
      if (!tends(g)) continue;
      const bool low = g.cents < 0;
      say(g, low ? FindingKind::flat : FindingKind::sharp,
          low ? "finding.flat.finger" : "finding.sharp.finger", "finger", std::to_string(finger));
    }
  }

  // Past the threshold by more than its standard error; the threshold itself is clear of
  // what is played right.
  bool is_off(const Pitched& p) const {
    return !said_.contains(p.index) && std::abs(p.cents) - p.doubt >= take_.limits().note_cents;
  }

  void single() {
    for (const Pitched& first : notes_) {
      if (!is_off(first)) continue;
      const bool low = first.cents < 0;
      std::vector<int> notes;
      std::vector<double> cents;
      for (const Pitched& p : notes_) {
        const bool alike =
            take_.written(p.index).midi == take_.written(first.index).midi && (p.cents < 0) == low;
        if (!alike || !is_off(p)) continue;
        notes.push_back(p.index), cents.push_back(p.cents);
      }
      said_.insert(notes.begin(), notes.end());
      const std::string word = low ? "finding.flat." : "finding.sharp.";
      Finding f = take_.about(low ? FindingKind::flat : FindingKind::sharp, notes,
                              word + (notes.size() == 1 ? "note" : "notes"));
      f.message_args["count"] = static_cast<double>(notes.size());
      finish(f, middle(cents), 0.85);
    }
  }

  const TakeView& take_;
  Findings& out_;
  std::vector<Pitched> notes_;
  std::set<int> said_;
};

}  // namespace

void add_pitch_findings(const TakeView& take, Findings& out) { PitchVerdicts(take, out).run(); }

}  // namespace endpin::listen
