// Rhythm and tempo: another bar's rhythm, uneven runs, a wait, a note early or late, tempo that
// runs away. The first that explains a note's time is the one that is said.
#include <algorithm>
#include <cmath>
#include <set>

#include "verdicts/take_view.h"

namespace endpin::listen {
namespace {

constexpr double longest_breath_s = 0.75, breath_beats = 1.2;
constexpr double free_times = 4.5;  // of the player's own freedom
// Pairs written even count as uneven from 4 : 3 on where every pair leans the same way, and the
// mean lies four standard errors of this player's own freedom from even (ours).
constexpr double uneven_ratio = 1.33, least_uneven = 1.08, uneven_errors = 4;
constexpr std::size_t fewest_pairs = 3;
constexpr double most_freedom_s = 0.03;  // what is more comes from the unevenness itself
constexpr double tempo_change = 0.13;    // of the logarithm: an eighth
constexpr std::size_t fewest_strides = 12;

struct PlayedBar {
  std::string number;
  std::vector<int> notes;
  std::vector<double> written, heard;  // places within the bar, 0…1
  double length_s = 0;
  bool whole = false;
};

class TimeVerdicts {
 public:
  TimeVerdicts(const TakeView& take, Findings& out) : take_(take), out_(out) {}

  void run() {
    other_rhythm();
    uneven();
    displaced();
    tempo();
  }

 private:
  void keep(Finding f, double confidence) {
    for (int i : f.notes) said_.insert(i);
    f.confidence = confidence;
    out_.push_back(std::move(f));
  }

  std::vector<PlayedBar> bars() const {
    std::vector<PlayedBar> all;
    const Timeline& t = take_.timeline();
    int i = 0;
    for (std::size_t b = 0; b < t.bars.size(); ++b) {
      PlayedBar bar;
      bar.number = t.bars[b].number;
      const Beats end = t.bars[b].start + t.bars[b].length;
      while (i < take_.size() && take_.written(i).onset < t.bars[b].start) ++i;
      int j = i;
      bool whole = true;
      for (; j < take_.size() && take_.written(j).onset < end; ++j) {
        whole = whole && take_.heard(j) && take_.alone(j);
        bar.notes.push_back(j);
      }
      const bool closed = j < take_.size() && take_.heard(j) && take_.written(j).onset == end &&
                          !bar.notes.empty() &&
                          take_.written(bar.notes.front()).onset == t.bars[b].start;
      bar.whole = whole && closed && bar.notes.size() >= 3;
      if (bar.whole) {
        const double from = take_.sound(bar.notes.front()).onset.value();
        bar.length_s = take_.sound(j).onset.value() - from;
        bar.whole = bar.length_s > 0.2;
        for (int k : bar.notes) {
          bar.written.push_back((take_.written(k).onset - t.bars[b].start).to_double() /
                                t.bars[b].length.to_double());
          bar.heard.push_back((take_.sound(k).onset.value() - from) / bar.length_s);
        }
      }
      all.push_back(std::move(bar));
      i = j;
    }
    return all;
  }

  bool same_pitches(const PlayedBar& a, const PlayedBar& b) const {
    if (a.notes.size() != b.notes.size() || a.notes.size() < 3) return false;
    for (std::size_t k = 0; k < a.notes.size(); ++k) {
      if (take_.written(a.notes[k]).midi != take_.written(b.notes[k]).midi) return false;
    }
    return true;
  }

  static double distance(const std::vector<double>& a, const std::vector<double>& b) {
    double sum = 0;
    for (std::size_t k = 0; k < a.size(); ++k) sum += (a[k] - b[k]) * (a[k] - b[k]);
    return std::sqrt(sum / static_cast<double>(a.size()));
  }

  std::vector<double> written_places(const PlayedBar& bar,
                                     const std::vector<PlayedBar>& all) const {
    if (!bar.written.empty()) return bar.written;
    (void)all;
    std::vector<double> places;
    const Beats start = take_.written(bar.notes.front()).onset;
    double length = 0;
    for (int k : bar.notes) {
      length = (take_.written(k).onset + take_.written(k).duration - start).to_double();
    }
    for (int k : bar.notes) places.push_back((take_.written(k).onset - start).to_double() / length);
    return places;
  }

  // A bar with the same notes whose rhythm fits what was played, where its own does not.
  void other_rhythm() {
    const auto all = bars();
    for (const PlayedBar& bar : all) {
      if (!bar.whole) continue;
      const double own = distance(bar.heard, bar.written);
      if (own < 0.035) continue;
      for (const PlayedBar& twin : all) {
        if (&twin == &bar || twin.number == bar.number || !same_pitches(bar, twin)) continue;
        const auto places = written_places(twin, all);
        if (distance(places, bar.written) < 0.03 || distance(bar.heard, places) > 0.4 * own)
          continue;
        Finding f =
            take_.about(FindingKind::other_bar_rhythm, bar.notes, "finding.other-bar-rhythm");
        f.message_args["twin"] = std::vector{twin.number};
        f.evidence["own_distance"] = own;
        f.evidence["twin_distance"] = distance(bar.heard, places);
        keep(std::move(f), 0.9);
        break;
      }
    }
  }

  // Runs of two equal short notes to a beat, played long and short.
  void uneven() {
    std::vector<int> run;
    std::vector<double> ratios;
    const auto flush = [&] {
      if (ratios.size() >= fewest_pairs) say_uneven(run, ratios);
      run.clear();
      ratios.clear();
    };
    Beats expected;
    for (const Stride& s : take_.strides()) {
      const TimelineNote &a = take_.written(s.from), &b = take_.written(s.to);
      const bool starts_beat = a.onset.denominator() == 1 || a.duration < Beats(1, 2);
      if (!(a.duration == b.duration && a.duration <= Beats(1, 2) && starts_beat)) continue;
      if ((a.onset * Beats(2)).denominator() != 1 && a.duration == Beats(1, 2)) continue;
      if (a.duration < Beats(1, 2) && (a.onset * Beats(2)).denominator() != 1) continue;
      const Stride* second = take_.stride_from(s.to);
      if (!second || b.onset + b.duration != take_.written(second->to).onset) continue;
      if (!run.empty() && expected != a.onset) flush();
      run.push_back(s.from);
      run.push_back(s.to);
      ratios.push_back(std::log(s.heard_s / second->heard_s));
      expected = b.onset + b.duration;
    }
    flush();
  }

  void say_uneven(const std::vector<int>& run, std::vector<double> ratios) {
    std::sort(ratios.begin(), ratios.end());
    const double middle = ratios[ratios.size() / 2];
    const double least = middle > 0 ? ratios[ratios.size() / 5] : -ratios[ratios.size() * 4 / 5];
    if (std::abs(middle) < std::log(uneven_ratio) || least < std::log(least_uneven)) return;
    if (std::abs(middle) < uneven_errors * error_of_pairs(run, ratios.size())) return;
    Finding f = take_.about(FindingKind::uneven, run,
                            middle > 0 ? "finding.uneven.long-short" : "finding.uneven.short-long");
    f.message_args["count"] = static_cast<double>(ratios.size());
    f.evidence["ratio"] = std::exp(std::abs(middle));
    keep(std::move(f), 0.85);
  }

  // Standard error of the mean of logarithms of `pairs` ratios, from the freedom of single steps:
  // the middle onset of a pair moves both halves.
  double error_of_pairs(const std::vector<int>& run, std::size_t pairs) const {
    const Stride* first = take_.stride_from(run.front());
    const double half_s = first ? first->ratio * first->written_s : 0.25;
    const double onset_s = std::min(take_.freedom_s(), most_freedom_s) / std::sqrt(2.0);
    return std::sqrt(6.0) * onset_s / half_s / std::sqrt(static_cast<double>(pairs));
  }

  void displaced() {
    for (const Stride& s : take_.strides()) {
      const int i = s.to;
      const Stride* next = take_.stride_from(i);
      if (said_.contains(i) || !next || take_.written(s.from).fermata) continue;
      if (take_.written(i).graces_before > 0 || take_.sound(i).confidence < 0.6) continue;
      if (at_repeat(s)) continue;
      const double a = s.excess_s(), b = next->excess_s();
      const double beat = take_.beat_s(i);
      const double limit = std::max({take_.limits().onset_s, take_.limits().onset_beats * beat,
                                     free_times * take_.freedom_s()});
      if (a > std::max({longest_breath_s, breath_beats * beat, limit}) && b > -0.4 * a) {
        hesitation(s, a);
      } else if (std::abs(a) > limit && b * a < 0 && std::abs(b) > 0.5 * std::abs(a)) {
        early_or_late(i, a, beat);
      }
    }
  }

  // Between the end of a passage and its repeat a player may breathe.
  bool at_repeat(const Stride& s) const {
    return take_.written(s.from).pass != take_.written(s.to).pass;
  }

  void hesitation(const Stride& s, double wait_s) {
    Finding f = take_.about(FindingKind::hesitation, {s.from, s.to}, "finding.hesitation");
    f.message_args["note"] = take_.written(s.to).spelled.text();
    f.message_args["seconds"] = std::round(wait_s * 10) / 10;
    f.evidence["wait_s"] = wait_s;
    keep(std::move(f), 0.9);
  }

  void early_or_late(int i, double by_s, double beat_s) {
    const bool late = by_s > 0;
    Finding f = take_.about(late ? FindingKind::late : FindingKind::early, {i},
                            late ? "finding.late" : "finding.early");
    f.message_args["percent"] = std::round(100 * std::abs(by_s) / beat_s);
    f.evidence["deviation_ms"] = 1000 * by_s;
    keep(std::move(f), 0.85);
  }

  // The tempo at the end against that at the beginning, if it went there all the way.
  void tempo() {
    std::vector<double> at, log_ratio;
    std::vector<int> notes;
    for (const Stride& s : take_.strides()) {
      if (said_.contains(s.to) || take_.written(s.from).fermata) continue;
      at.push_back(take_.sound(s.from).onset.value());
      log_ratio.push_back(-std::log(s.ratio));
      notes.push_back(s.from);
    }
    const std::size_t n = at.size();
    if (n < fewest_strides) return;
    double x = 0, y = 0, xx = 0, xy = 0, yy = 0;
    for (std::size_t i = 0; i < n; ++i)
      x += at[i] / static_cast<double>(n), y += log_ratio[i] / static_cast<double>(n);
    for (std::size_t i = 0; i < n; ++i) {
      xx += (at[i] - x) * (at[i] - x), yy += (log_ratio[i] - y) * (log_ratio[i] - y);
      xy += (at[i] - x) * (log_ratio[i] - y);
    }
    if (xx <= 0 || yy <= 0) return;
    const auto middle = [&](std::size_t from, std::size_t to) {
      std::vector<double> part(log_ratio.begin() + static_cast<std::ptrdiff_t>(from),
                               log_ratio.begin() + static_cast<std::ptrdiff_t>(to));
      std::sort(part.begin(), part.end());
      return part[part.size() / 2];
    };
    const double first = middle(0, n / 4 + 1), last = middle(n - n / 4 - 1, n);
    const double change = last - first, agreement = xy / std::sqrt(xx * yy);
    if (std::abs(change) < tempo_change || std::abs(agreement) < 0.7 || agreement * change < 0)
      return;
    const bool faster = change > 0;
    Finding f = take_.about(faster ? FindingKind::rushing : FindingKind::dragging, notes,
                            faster ? "finding.rushing" : "finding.dragging");
    const double unit = take_.timeline().beat_unit.to_double();
    const double written = take_.timeline().tempo.tempo_at(Beats(0)).value() / unit;
    f.message_args["from"] = std::round(written * std::exp(first));
    f.message_args["to"] = std::round(written * std::exp(last));
    f.evidence["change_percent"] = 100 * (std::exp(change) - 1);
    f.confidence = 0.9;
    out_.push_back(std::move(f));
  }

  const TakeView& take_;
  Findings& out_;
  std::set<int> said_;
};

}  // namespace

void add_time_findings(const TakeView& take, Findings& out) { TimeVerdicts(take, out).run(); }

}  // namespace endpin::listen
