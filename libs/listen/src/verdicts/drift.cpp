#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "quantiles.h"
#include "verdicts/time_findings.h"

namespace endpin::listen {
namespace {

// Of the logarithm of a median over fifteen steps, which dampens it: chosen on simulated takes, of
// which those that keep their tempo stay below 0.07.
constexpr double tempo_change = 0.1;
constexpr double least_agreement = 0.85;
// Of the change, in the third quarter: one that comes in the last alone is how pieces end (ours).
constexpr double least_on_the_way = 0.25;
constexpr std::size_t fewest_strides = 12;

struct TempoTrack {
  std::vector<int> notes;
  std::vector<double> at_s, log_tempo;  // against the written one
};

TempoTrack tempo_track(const TimeVerdicts& verdicts) {
  const TakeView& take = verdicts.take();
  TempoTrack track;
  for (const Stride& s : take.strides()) {
    if (verdicts.said(s.to) || take.written(s.from).fermata) continue;
    track.at_s.push_back(take.sound(s.from).onset.value());
    track.log_tempo.push_back(-std::log(s.ratio));
    track.notes.push_back(s.from);
  }
  return track;
}

double mean(const std::vector<double>& v) {
  double sum = 0;
  for (const double x : v) sum += x;
  return sum / static_cast<double>(v.size());
}

// Pearson's coefficient; 0 where one of the two does not vary.
double correlation(const std::vector<double>& x, const std::vector<double>& y) {
  const double mx = mean(x), my = mean(y);
  double xx = 0, xy = 0, yy = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    xx += (x[i] - mx) * (x[i] - mx), yy += (y[i] - my) * (y[i] - my);
    xy += (x[i] - mx) * (y[i] - my);
  }
  return xx > 0 && yy > 0 ? xy / std::sqrt(xx * yy) : 0;
}

struct Drift {
  double first = 0, last = 0;
  double change() const { return last - first; }
};

// The tempo at the end against that at the beginning, if it went there all the way.
std::optional<Drift> drift_of(const TempoTrack& track) {
  if (track.at_s.size() < fewest_strides) return std::nullopt;
  const auto& tempi = track.log_tempo;
  const auto quarter = static_cast<std::ptrdiff_t>(tempi.size() / 4 + 1);
  const Drift drift{middle_of(std::vector<double>{tempi.begin(), tempi.begin() + quarter}),
                    middle_of(std::vector<double>{tempi.end() - quarter, tempi.end()})};
  const double agreement = correlation(track.at_s, tempi);
  const double on_the_way =
      middle_of(std::vector<double>{tempi.end() - 2 * quarter, tempi.end() - quarter}) -
      drift.first;
  const bool all_the_way = std::abs(agreement) >= least_agreement &&
                           agreement * drift.change() > 0 &&
                           on_the_way / drift.change() > least_on_the_way;
  return all_the_way && std::abs(drift.change()) >= tempo_change ? std::optional(drift)
                                                                 : std::nullopt;
}

}  // namespace

void add_drift(TimeVerdicts& verdicts) {
  const TakeView& take = verdicts.take();
  TempoTrack track = tempo_track(verdicts);
  const auto drift = drift_of(track);
  if (!drift) return;
  const bool faster = drift->change() > 0;
  Finding f = take.about(faster ? FindingKind::rushing : FindingKind::dragging,
                         std::move(track.notes), faster ? "finding.rushing" : "finding.dragging");
  const double unit = take.timeline().beat_unit.to_double();
  const double written = take.timeline().tempo.tempo_at(Beats(0)).value() / unit;
  f.message_args["from"] = std::round(written * std::exp(drift->first));
  f.message_args["to"] = std::round(written * std::exp(drift->last));
  f.evidence["change_percent"] = 100 * (std::exp(drift->change()) - 1);
  verdicts.say(std::move(f), 0.9);
}

}  // namespace endpin::listen
