#include "backing/place_backing.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "endpin/dsp/decimate.h"

#include "backing/loudspeaker.h"
#include "backing/other_clock.h"
#include "backing/two_way_fft.h"
#include "quantiles.h"

namespace endpin::listen {
namespace {

// Ours, chosen on simulated takes (voices below 100). A loudspeaker is best between 200 Hz and 2
// kHz, codecs keep that as it was.
constexpr double least_rate_hz = 5'000, fine_rate_hz = 20'000;
constexpr std::size_t block = 8192;     // 1.5 s: at 100 ppm a third of a period is lost at 2 kHz
constexpr std::size_t searching = 12;   // blocks that are looked for everywhere
constexpr std::size_t confirming = 64;  // blocks that must agree
constexpr std::size_t together = 11;    // lags that are one place: 2 ms
constexpr double around_found_s = 0.2;
constexpr double around_given_s = 0.5;  // a player's start, a loudspeaker's delay
constexpr double around_peak_s = 0.02, around_fine_s = 0.002;
constexpr double clocks_differ = 150e-6;
constexpr float most_of_one = 6, unlimited = 1000;  // deviations that a single block may add
constexpr double least_peak = 4.5;  // deviations: below, the filter need not be tried
constexpr std::size_t tried = 4;    // places
// Moments that a filter from the others makes softer, where the backing is to be heard.
constexpr double is_there = 0.5;

struct Spectrum {
  std::vector<float> real, imaginary;
};

// A sound at a rate at which it is small, held: it is read again and again.
std::vector<float> decimated(const DecimatedSound& sound) {
  std::vector<float> samples(sound.size());
  sound.read(0, samples);
  return samples;
}

class Placing {
 public:
  Placing(const DecimatedSound& recording, const DecimatedSound& backing)
      : recording_(
            [&recording](std::int64_t from, std::span<float> out) { recording.read(from, out); }),
        backing_own_(backing),
        rate_hz_(recording.rate_hz()),
        backing_(backing, 0, backing.rate_hz() / rate_hz_),
        fft_(2 * block),
        samples_(2 * block),
        block_shape_(hann_window(block)),
        window_shape_(hann_window(2 * block)),
        lags_(2 * block),
        recording_size_(static_cast<std::int64_t>(recording.size())) {
    const double length = static_cast<double>(backing.size()) / backing.rate_hz() * rate_hz_;
    const auto count = static_cast<std::int64_t>(length / block) + 1;
    of_backing_.resize(static_cast<std::size_t>(count));
    std::vector<double> power;
    double most = 0;
    for (std::int64_t i = 0; i < count; ++i) {
      read_backing(i * block);
      double sum = 0;
      for (std::size_t k = 0; k < block; ++k) {
        sum += static_cast<double>(samples_[k]) * static_cast<double>(samples_[k]);
      }
      power.push_back(sum);
      most = std::max(most, sum);
    }
    for (std::int64_t i = 0; i < count; ++i) {
      if (power[static_cast<std::size_t>(i)] > 0.01 * most && most > 0)
        blocks_.push_back(i * block);
    }
  }

  // Of a time of the backing: it is heard `lag` samples later, and `slope` times that time more, as
  // the other clock has it. In seconds and shares.
  struct Line {
    double lag = 0, slope = 0;
    float sum = 0;
    double clear = 0;  // of the lags around it, in deviations
  };
  struct Found {
    Line line;
    Loudspeaker::HeldOut way;
  };

  std::optional<Found> near(double at_s, double around_s) {
    return proven(agreed(Line{.lag = at_s}, around_s, clocks_differ, 1, most_of_one));
  }

  // Of those that prove true the one that explains most.
  std::optional<Found> anywhere() {
    std::vector<Found> found;
    for (const double at_s : places()) {
      if (const auto f = near(at_s, around_found_s)) found.push_back(*f);
    }
    if (found.empty()) return std::nullopt;
    const auto best =
        std::max_element(found.begin(), found.end(),
                         [](const Found& a, const Found& b) { return a.way.gain < b.way.gain; });
    const double step_s = shortest_step(found);
    return step_s > 0 ? further(further(*best, step_s), step_s / 2) : *best;
  }

  // With all that a recording holds, to a fraction of a sample.
  Line finest(const Line& rough) {
    const Line fine = agreed(rough, around_fine_s, clocks_differ / 8, 2, unlimited);
    return fine.clear < least_peak ? rough : fine;
  }

 private:
  void read_backing(std::int64_t from) {
    backing_.read(from, std::span(samples_).first(block));
    std::fill(samples_.begin() + block, samples_.end(), 0.0F);
    shape(block_shape_);
  }

  void shape(const std::vector<float>& by) {
    for (std::size_t i = 0; i < by.size(); ++i) samples_[i] *= by[i];
  }

  // Each bin by its size, or by the root of that.
  void whitened(Spectrum& s, bool whole) {
    s.real.resize(fft_.bins()), s.imaginary.resize(fft_.bins());
    fft_.forward(samples_, s.real, s.imaginary);
    for (std::size_t k = 0; k < fft_.bins(); ++k) {
      const float size = std::sqrt(s.real[k] * s.real[k] + s.imaginary[k] * s.imaginary[k]);
      const float by = size > 0 ? 1 / (whole ? size : std::sqrt(size)) : 0;
      s.real[k] *= by, s.imaginary[k] *= by;
    }
  }

  const Spectrum& backing_spectrum(std::int64_t from) {
    Spectrum& s = of_backing_[static_cast<std::size_t>(from) / block];
    if (!s.real.empty()) return s;
    read_backing(from);
    whitened(s, false);
    return s;
  }
  void of_recording(std::int64_t from, Spectrum& s) {
    recording_(from, samples_);
    shape(window_shape_);
    whitened(s, true);
  }

  // lags[l]: the block begins l samples into the window (of a greater transform: fractions of
  // samples); the first `block` of them are whole. Their deviation becomes 1.
  void correlate(const Spectrum& window, const Spectrum& b, TwoWayFft& fft,
                 std::vector<float>& lags) {
    product_.real.assign(fft.bins(), 0), product_.imaginary.assign(fft.bins(), 0);
    for (std::size_t k = 0; k < fft_.bins(); ++k) {
      product_.real[k] = window.real[k] * b.real[k] + window.imaginary[k] * b.imaginary[k];
      product_.imaginary[k] = window.imaginary[k] * b.real[k] - window.real[k] * b.imaginary[k];
    }
    fft.inverse(product_.real, product_.imaginary, lags);
    double sum = 0;
    const std::size_t whole = fft.size() / 2;
    for (std::size_t i = 0; i < whole; ++i) {
      sum += static_cast<double>(lags[i]) * static_cast<double>(lags[i]);
    }
    const auto scale =
        static_cast<float>(sum > 0 ? std::sqrt(static_cast<double>(whole) / sum) : 0);
    for (std::size_t i = 0; i < whole; ++i) lags[i] *= scale;
  }

  std::vector<std::int64_t> some_blocks(std::size_t most) const {
    if (blocks_.size() <= most) return blocks_;
    std::vector<std::int64_t> some;
    for (std::size_t i = 0; i < most; ++i) some.push_back(blocks_[i * blocks_.size() / most]);
    return some;
  }

  // Where it may begin, seconds.
  std::vector<double> places() {
    const auto some = some_blocks(searching);
    if (some.empty()) return {};
    const std::int64_t least = -some.back() - static_cast<std::int64_t>(block);
    const std::int64_t end = recording_size_ + static_cast<std::int64_t>(block);
    std::vector<float> sums(static_cast<std::size_t>(end - least) / together + 1);
    Spectrum window;
    // A window hears its middle best: every other block is looked for in windows half a block
    // later.
    constexpr auto half = static_cast<std::int64_t>(block / 2);
    std::size_t odd = 0;
    for (std::int64_t from = -2 * half; from < recording_size_; from += half, odd = 1 - odd) {
      of_recording(from, window);
      for (std::size_t i = odd; i < some.size(); i += 2) {
        correlate(window, backing_spectrum(some[i]), fft_, lags_);
        for (std::size_t l = 0; l < block; l += together) {
          float loudest = 0;
          for (std::size_t k = l; k < std::min(block, l + together); ++k) {
            loudest = std::max(loudest, std::abs(lags_[k]));
          }
          const auto lag = from + static_cast<std::int64_t>(l) - some[i];
          sums[static_cast<std::size_t>(lag - least) / together] += loudest * loudest;
        }
      }
    }
    std::vector<double> found;
    while (found.size() < tried) {
      const auto at = std::max_element(sums.begin(), sums.end());
      if (*at <= 0) break;
      const auto index = at - sums.begin();
      found.push_back(static_cast<double>(least + index * static_cast<std::int64_t>(together)) /
                      rate_hz_);
      const auto from = std::max<std::ptrdiff_t>(0, index - 50);
      const auto to = std::min<std::ptrdiff_t>(std::ssize(sums), index + 51);
      std::fill(sums.begin() + from, sums.begin() + to, 0.0F);
    }
    return found;
  }

  // Of each block the lags around one place, in deviations.
  struct Seen {
    double from = 0, step = 1;  // samples: the first lag, and from one to the next
    std::size_t width = 0;
    std::vector<double> times;  // of each block, samples
    std::vector<float> lags;    // [block][lag]
    double middle() const { return (times.front() + times.back()) / 2; }
    double reach() const { return std::max<double>(block, times.back() - middle()); }
  };

  // Lags in steps of 1 / `finer`; a single block counts for `most`, so that none can outvote the
  // others.
  Seen around(const Line& line, double range_s, std::size_t finer, float most) {
    Seen seen;
    const double range = std::min<double>(range_s * rate_hz_, block / 2 - 2);
    seen.step = 1.0 / static_cast<double>(finer);
    const auto side = static_cast<std::int64_t>(range * static_cast<double>(finer));
    seen.width = static_cast<std::size_t>(2 * side + 1);
    seen.from = line.lag * rate_hz_ - static_cast<double>(side) * seen.step;
    TwoWayFft fft(2 * block * finer);
    Spectrum window;
    std::vector<float> lags(fft.size());
    for (const auto b : some_blocks(confirming)) {
      const double expected = line.slope * static_cast<double>(b) + line.lag * rate_hz_;
      const std::int64_t whole = b + std::llround(expected) - static_cast<std::int64_t>(block / 2);
      if (whole + static_cast<std::int64_t>(block) < 0 || whole > recording_size_) continue;
      of_recording(whole, window);
      correlate(window, backing_spectrum(b), fft, lags);
      seen.times.push_back(static_cast<double>(b));
      const double aside = expected - std::round(expected);
      const auto centre =
          std::llround((static_cast<double>(block / 2) + aside) * static_cast<double>(finer));
      for (std::int64_t k = centre - side; k <= centre + side; ++k) {
        seen.lags.push_back(std::clamp(lags[static_cast<std::size_t>(k)], -most, most));
      }
    }
    return seen;
  }

  // Of all blocks, along lines that fall `slope` steeper than where they were looked for.
  static void add_along(const Seen& seen, double slope, std::vector<float>& sums) {
    sums.assign(seen.width, 0);
    for (std::size_t i = 0; i < seen.times.size(); ++i) {
      const auto moved = std::llround(slope * (seen.times[i] - seen.middle()) / seen.step);
      const float* own = seen.lags.data() + i * seen.width;
      const auto count = static_cast<std::int64_t>(seen.width);
      const auto to = std::min<std::int64_t>(count, count - moved);
      for (std::int64_t k = std::max<std::int64_t>(0, -moved); k < to; ++k) {
        sums[static_cast<std::size_t>(k)] += own[k + moved];
      }
    }
  }

  // The straight line of lags on which the blocks agree best, near another.
  Line agreed(const Line& near, double range_s, double slopes, std::size_t finer, float most) {
    const Seen seen = around(near, range_s, finer, most);
    Line best;
    if (seen.times.empty()) return best;
    slopes = std::min(slopes, std::max(1.0, range_s * rate_hz_) / seen.reach());
    const int steps = static_cast<int>(slopes * seen.reach() / (0.5 * seen.step)) + 1;
    std::vector<float> sums, best_sums;
    std::size_t at = 0;
    for (int s = -steps; s <= steps; ++s) {
      add_along(seen, slopes * s / steps, sums);
      for (std::size_t k = 0; k < seen.width; ++k) {
        if (std::abs(sums[k]) <= best.sum) continue;
        best.sum = std::abs(sums[k]), best.slope = slopes * s / steps;
        at = k, best_sums = sums;
      }
    }
    if (!(best.sum > 0)) return best;
    const auto lag = [&](std::size_t k) {
      return (seen.from + static_cast<double>(k) * seen.step - best.slope * seen.middle()) /
             rate_hz_;
    };
    const double deviation = robust_deviation(best_sums);
    best.clear = deviation > 0 ? static_cast<double>(best.sum) / deviation : 0;
    best.lag = lag(at);
    best.slope += near.slope;
    return best;
  }

  // Between two places that both prove true, seconds; 0: there is one.
  static double shortest_step(const std::vector<Found>& found) {
    double step = 0;
    for (const Found& a : found) {
      for (const Found& b : found) {
        const double apart = b.line.lag - a.line.lag;
        if (apart > around_found_s && (step == 0 || apart < step)) step = apart;
      }
    }
    return step;
  }

  // Clicks are alike in every bar, but for where they begin and end: goes on by bars to where more
  // is explained.
  Found further(Found best, double step_s) {
    for (const double by : {step_s, -step_s}) {
      for (auto next = near(best.line.lag + by, around_found_s);
           next && next->way.gain > best.way.gain;
           next = near(best.line.lag + by, around_found_s)) {
        best = *next;
      }
    }
    return best;
  }

  std::optional<Found> proven(const Line& rough) {
    if (rough.clear < least_peak) return std::nullopt;
    const Line line = agreed(rough, around_peak_s, clocks_differ / 4, 4, unlimited);
    OtherClock clock(backing_own_, -line.lag / (1 + line.slope),
                     backing_own_.rate_hz() / rate_hz_ / (1 + line.slope));
    const SoundReader backing = [&clock](std::int64_t from, std::span<float> out) {
      clock.read(from, out);
    };
    const auto way = Loudspeaker({recording_, backing, recording_size_, rate_hz_}).held_out();
    if (!way || way->explained <= is_there) return std::nullopt;
    return Found{line, *way};
  }

  SoundReader recording_;
  const DecimatedSound& backing_own_;  // at its rate
  double rate_hz_;
  OtherClock backing_;
  TwoWayFft fft_;
  std::vector<float> samples_, block_shape_, window_shape_, lags_;
  Spectrum product_;
  std::int64_t recording_size_;
  std::vector<std::int64_t> blocks_;  // where those begin that are not silent
  std::vector<Spectrum> of_backing_;  // [block], empty where not asked for yet
};

}  // namespace

std::optional<Placement> place_backing(AudioView recording, const Backing& backing) {
  if (recording.samples.empty() || backing.audio.samples.empty()) return std::nullopt;
  const DecimatedSound low(recording.samples, recording.sample_rate_hz, least_rate_hz);
  const DecimatedSound low_known(backing.audio.samples, backing.audio.sample_rate_hz,
                                 least_rate_hz);
  const auto heard = decimated(low), known = decimated(low_known);
  const DecimatedSound heard_again(heard, low.rate_hz()), known_again(known, low_known.rate_hz());
  Placing placing(heard_again, known_again);
  const auto found =
      backing.at ? placing.near(backing.at->value(), around_given_s) : placing.anywhere();
  if (!found) return std::nullopt;
  const DecimatedSound fine(recording.samples, recording.sample_rate_hz, fine_rate_hz);
  const DecimatedSound fine_known(backing.audio.samples, backing.audio.sample_rate_hz,
                                  fine_rate_hz);
  const auto line = Placing(fine, fine_known).finest(found->line);
  return Placement{Seconds(line.lag + found->way.first_s), 1 / (1 + line.slope)};
}

}  // namespace endpin::listen
