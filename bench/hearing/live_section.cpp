#include <algorithm>
#include <cmath>
#include <ctime>

#include <fmt/format.h>

#include "endpin/listen/live.h"

#include "bootstrap.h"
#include "evaluation.h"

namespace endpin::evaluation {
namespace {

using namespace measures;
using namespace simulator;

constexpr double block_s = 0.01;
constexpr double lost_s = 1.0;  // a note that is not known by then is not counted as late but lost
constexpr int g2 = 43;

struct Moment {
  double s;
  int index;
};

double cpu_seconds() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

struct Followed {
  std::vector<Moment> moments;  ///< place after each block
  double cpu_s = 0;
};

Followed follow(const Timeline& timeline, const Audio& audio) {
  const auto rate = static_cast<double>(audio.rate);
  LiveFollower follower(timeline, rate);
  const auto block = static_cast<std::size_t>(block_s * rate);
  Followed followed;
  const double begin = cpu_seconds();
  for (std::size_t at = 0; at < audio.samples.size(); at += block) {
    const std::size_t count = std::min(block, audio.samples.size() - at);
    follower.take(std::span(audio.samples).subspan(at, count));
    followed.moments.push_back({static_cast<double>(at + count) / rate, follower.place().index});
  }
  followed.cpu_s = cpu_seconds() - begin;
  return followed;
}

// From a note's true onset until its place, or one just after it, was told.
std::optional<double> lag_of(const Followed& followed, int index, double onset_s) {
  for (const Moment& m : followed.moments) {
    if (m.s < onset_s) continue;
    if (m.s > onset_s + lost_s) return std::nullopt;
    if (m.index == index || m.index == index + 1) return m.s - onset_s;
  }
  return std::nullopt;
}

struct Lags {
  std::vector<double> seconds;
  std::vector<Share> known;  ///< within a second, a take each
};

void add_lags(const Take& take, const Followed& followed, Lags& lags) {
  Share known;
  for (std::size_t i = 0; i < take.performance.truth.size(); ++i) {
    const auto& truth = take.performance.truth[i];
    if (!truth.played || take.timeline.notes[i].midi < g2) continue;
    const double onset_s = take.performance.notes[*truth.played].onset.value();
    const auto lag = lag_of(followed, static_cast<int>(i), onset_s);
    ++known.cases;
    if (!lag) continue;
    ++known.hits;
    lags.seconds.push_back(*lag);
  }
  lags.known.push_back(known);
}

// After playing went on elsewhere: seconds and notes until the place was right
// to one note.
void add_jumps(const Take& take, const Followed& followed, std::vector<Share>& in_time,
               std::vector<double>& seconds, Report& report) {
  for (const auto& restart : take.performance.restarts) {
    const double jump_s = restart.time.value();
    std::size_t notes = 0;
    double allowed_s = 1;
    for (const auto& played : take.performance.notes) {
      if (played.onset.value() >= jump_s && ++notes == 4) {
        allowed_s = std::max(allowed_s, played.onset.value() - jump_s);
      }
    }
    std::optional<double> known_s;
    for (const Moment& m : followed.moments) {
      if (m.s < jump_s || known_s) continue;
      int now = -1;
      for (const auto& played : take.performance.notes) {
        if (played.onset.value() <= m.s && played.index >= 0) now = played.index;
      }
      if (m.index >= 0 && std::abs(m.index - now) <= 1) known_s = m.s - jump_s;
    }
    in_time.push_back({known_s && *known_s <= allowed_s ? 1.0 : 0.0, 1.0});
    if (known_s) seconds.push_back(*known_s);
    if (!known_s || *known_s > allowed_s) {
      report.failures.push_back(fmt::format("LIVE {}: place known {:.2f} s after going back",
                                            take.name, known_s.value_or(-1)));
    }
  }
}

void add_quantile(const std::string& what, const std::vector<double>& values, double share,
                  double at_most, Report& report) {
  if (values.empty()) return;
  Figure figure{"live", what,         quantile(values, share),
                "s",    std::nullopt, static_cast<int>(values.size())};
  figure.of = "notes";
  figure.at_most = at_most;
  report.add(figure);
}

}  // namespace

Report live_section(const Settings& settings, const Studio& studio) {
  Report report;
  Lags lags;
  std::vector<Share> in_time;
  std::vector<double> jump_s;
  double sound_s = 0, cpu_s = 0;
  const int takes = settings.count(8, 60);
  for (int i = 0; i < takes; ++i) {
    static const char* instruments[] = {"cello", "violin", "viola", "cello"};
    TakeOptions options;
    options.instrument = instruments[i % 4];
    options.player = i % 2 == 0 ? good_student() : beginner();
    options.condition = i % 3 == 0   ? Condition::clean
                        : i % 3 == 1 ? Condition::room
                                     : Condition::phone_20;
    options.recorded = (i / 2) % 2 == 0;
    const auto seed = settings.seed * 7000 + static_cast<unsigned>(i);
    const auto right = studio.take(options, seed);
    const auto followed = follow(right.timeline, right.audio);
    add_lags(right, followed, lags);
    sound_s += right.audio.duration().value(), cpu_s += followed.cpu_s;
    const auto back = studio.take_with(Fault::restart, options, seed);
    if (back) add_jumps(*back, follow(back->timeline, back->audio), in_time, jump_s, report);
  }
  report.add(share_figure("live", "place known within a second, from G2 up", lags.known, "notes",
                          settings.seed));
  add_quantile("lag, median", lags.seconds, 0.5, 0.08, report);
  add_quantile("lag, 95th percentile", lags.seconds, 0.95, 0.15, report);
  report.add(share_figure("live", "after going back known within max(1 s, 3 notes)", in_time,
                          "restarts", settings.seed));
  add_quantile("after going back, median", jump_s, 0.5, 1, report);
  Figure core{"live", "of a core", cpu_s / sound_s, "%", std::nullopt, takes};
  core.of = "takes";
  core.at_most = 0.15;
  report.add(core);
  return report;
}

}  // namespace endpin::evaluation
