#include "backing/loudspeaker.h"

#include <algorithm>
#include <bit>
#include <cmath>

#include "quantiles.h"

namespace endpin::listen {
namespace {

// Ours, chosen on simulated takes (voices below 100).
constexpr double window_s = 0.7;
constexpr std::size_t most_frames = 400;
constexpr std::size_t together = 4;  // frames that go into one half
constexpr int rounds = 4;
constexpr std::size_t beside = 2;     // bins to each side whose errors are weighed together
constexpr float floor_share = 1e-6F;  // of a bin's mean power: below, every error is alike
// Of the mean power: how little an early sample and one at the end are believed; echoes decay.
constexpr double least_ridge = 1e-4, late_ridge = 1e-1;
// A loudspeaker is best there, and codecs keep that as it was.
constexpr double judged_from_hz = 200, judged_to_hz = 2'000;
// What comes directly may be softer than a reflection.
constexpr double arrival_s = 0.002, direct_share = 0.1, by_chance = 5;

std::size_t window_at(double rate_hz) {
  const auto wanted = static_cast<std::size_t>(window_s * rate_hz);
  const std::size_t above = std::bit_ceil(wanted);
  return static_cast<double>(above) < std::sqrt(2.0) * static_cast<double>(wanted) ? above
                                                                                   : above / 2;
}

}  // namespace

Loudspeaker::Loudspeaker(TwoSounds sounds)
    : sounds_(std::move(sounds)),
      window_(window_at(sounds_.rate_hz)),
      bins_(window_ / 2 + 1),
      length_(window_ * 3 / 8),
      lead_(window_ * 3 / 32),
      centre_(static_cast<std::int64_t>(window_ / 16)),
      fft_(window_),
      shape_(hann_window(window_)),
      samples_(window_),
      floor_(bins_, 1e-20F),
      arriving_(window_ / 2,
                [this](std::int64_t from, std::span<float> out) { filter(from, out); }) {
  measure();
}

// Of each sample of the filter, which begins `lead_` and the frames' distance before the window's.
std::vector<float> Loudspeaker::ridge() const {
  std::vector<float> r(window_, -1.0F);
  for (std::size_t i = 0; i < length_; ++i) {
    const double late =
        i > lead_ ? static_cast<double>(i - lead_) / static_cast<double>(length_) : 0;
    r[(i + window_ - lead_ - static_cast<std::size_t>(centre_)) % window_] =
        static_cast<float>(least_ridge * std::pow(late_ridge / least_ridge, late));
  }
  return r;
}

bool Loudspeaker::belongs(std::size_t frame, Part part) const {
  return part == Part::all || ((frame / together) % 2 == 0) == (part == Part::even);
}

// Of samples_.
void Loudspeaker::add_spectrum(Cells& into) {
  for (std::size_t i = 0; i < window_; ++i) samples_[i] *= shape_[i];
  const std::size_t at = into.real.size();
  into.real.resize(at + bins_), into.imaginary.resize(at + bins_);
  fft_.forward(samples_, std::span(into.real).subspan(at), std::span(into.imaginary).subspan(at));
}

void Loudspeaker::measure() {
  const auto hop = static_cast<std::int64_t>(window_ / 2);
  const std::int64_t all = sounds_.size / hop;
  const std::int64_t every = all / static_cast<std::int64_t>(most_frames) + 1;
  for (std::int64_t f = 0; f < all; f += every) {
    const std::int64_t from = f * hop - hop / 2;
    sounds_.backing(from, samples_);
    if (std::all_of(samples_.begin(), samples_.end(), [](float s) { return s == 0; })) continue;
    add_spectrum(backing_);
    sounds_.recording(from + centre_, samples_);
    add_spectrum(recording_);
    ++frames_;
  }
  for (std::size_t i = 0; i < recording_.real.size(); ++i) {
    const float re = recording_.real[i], im = recording_.imaginary[i];
    floor_[i % bins_] += floor_share / static_cast<float>(frames_) * (re * re + im * im);
  }
}

void Loudspeaker::fit(Part part, ImpulseResponse& response) {
  std::vector<float> re(bins_), im(bins_), power(bins_), error(bins_);
  for (std::size_t f = 0; f < frames_; ++f) {
    if (!belongs(f, part)) continue;
    const float* br = backing_.real.data() + f * bins_;
    const float* bi = backing_.imaginary.data() + f * bins_;
    const float* xr = recording_.real.data() + f * bins_;
    const float* xi = recording_.imaginary.data() + f * bins_;
    const float* hr = response.real().data();
    const float* hi = response.imaginary().data();
    for (std::size_t k = 0; k < bins_; ++k) {
      const float er = xr[k] - hr[k] * br[k] + hi[k] * bi[k];
      const float ei = xi[k] - hr[k] * bi[k] - hi[k] * br[k];
      error[k] = er * er + ei * ei + floor_[k];
    }
    for (std::size_t k = beside; k + beside < bins_; ++k) {
      float around = 0;
      for (std::size_t d = 0; d <= 2 * beside; ++d) around += error[k + d - beside];
      const float weight = 1 / around;
      re[k] += weight * (xr[k] * br[k] + xi[k] * bi[k]);
      im[k] += weight * (xi[k] * br[k] - xr[k] * bi[k]);
      power[k] += weight * (br[k] * br[k] + bi[k] * bi[k]);
    }
  }
  response.improve(re, im, power);
}

ImpulseResponse Loudspeaker::fitted(Part part) {
  ImpulseResponse response(fft_, ridge());
  for (int round = 0; round < rounds; ++round) fit(part, response);
  return response;
}

// Mean log of a frame's power in a few bins together, before and after what arrives is taken off.
double Loudspeaker::gain(std::size_t frame, const ImpulseResponse& response) const {
  const double bins_per_hz = static_cast<double>(window_) / sounds_.rate_hz;
  const auto from = std::max(beside, static_cast<std::size_t>(judged_from_hz * bins_per_hz));
  const auto to = std::min(bins_ - beside, static_cast<std::size_t>(judged_to_hz * bins_per_hz));
  const std::size_t at = frame * bins_;
  std::vector<float> before(bins_), after(bins_);
  for (std::size_t k = from - beside; k < to + beside; ++k) {
    const float hr = response.real()[k], hi = response.imaginary()[k];
    const float br = backing_.real[at + k], bi = backing_.imaginary[at + k];
    const float xr = recording_.real[at + k], xi = recording_.imaginary[at + k];
    const float er = xr - hr * br + hi * bi, ei = xi - hr * bi - hi * br;
    before[k] = xr * xr + xi * xi + floor_[k];
    after[k] = er * er + ei * ei + floor_[k];
  }
  double sum = 0;
  for (std::size_t k = from; k < to; ++k) {
    double whole = 0, rest = 0;
    for (std::size_t d = 0; d <= 2 * beside; ++d) {
      whole += static_cast<double>(before[k + d - beside]);
      rest += static_cast<double>(after[k + d - beside]);
    }
    sum += std::log(whole / rest);
  }
  return sum / static_cast<double>(to - from);
}

// Two estimates have the way in common, their errors not: where their product stands out.
double Loudspeaker::first_arrival(const ImpulseResponse& a, const ImpulseResponse& b) const {
  const auto common = [&](std::size_t i) {
    const std::size_t at = (i + window_ - lead_ - static_cast<std::size_t>(centre_)) % window_;
    return static_cast<double>(a.samples()[at]) * static_cast<double>(b.samples()[at]);
  };
  const auto cell = static_cast<std::size_t>(arrival_s * sounds_.rate_hz);
  std::vector<double> energy(length_ / cell);
  for (std::size_t i = 0; i < energy.size() * cell; ++i) energy[i / cell] += common(i);
  const double most = *std::max_element(energy.begin(), energy.end());
  const double enough = std::max(direct_share * most, by_chance * robust_deviation(energy));
  const auto first =
      std::find_if(energy.begin(), energy.end(), [&](double e) { return e >= enough; });
  if (first == energy.end()) return 0;
  std::size_t at = static_cast<std::size_t>(first - energy.begin()) * cell;
  const std::size_t end = at + cell;
  for (std::size_t i = at + 1; i < end; ++i) at = common(i) > common(at) ? i : at;
  return (static_cast<double>(at) - static_cast<double>(lead_)) / sounds_.rate_hz;
}

std::optional<Loudspeaker::HeldOut> Loudspeaker::held_out() {
  if (frames_ <= together) return std::nullopt;
  const ImpulseResponse even = fitted(Part::even), odd = fitted(Part::odd);
  HeldOut found;
  for (std::size_t f = 0; f < frames_; ++f) {
    const double g = gain(f, belongs(f, Part::even) ? odd : even);
    found.gain += g;
    found.explained += g > 0 ? 1 / static_cast<double>(frames_) : 0;
  }
  found.first_s = first_arrival(even, odd);
  return found;
}

void Loudspeaker::estimate() { response_.emplace(fitted(Part::all)); }

// Overlap-save: the filter keeps the quarter of the window to each side of its middle.
void Loudspeaker::filter(std::int64_t from, std::span<float> out) {
  // out[at + i] = Σ h[j] b[at + i − centre − j], j from −lead − centre on: the last half of what is
  // read has no end of the window in it when moved there.
  const std::int64_t skip = static_cast<std::int64_t>(length_ - lead_) - centre_;
  std::vector<float> re(bins_), im(bins_);
  sounds_.backing(from - centre_ - skip, samples_);
  fft_.forward(samples_, re, im);
  for (std::size_t k = 0; k < bins_; ++k) {
    const float hr = response_->real()[k], hi = response_->imaginary()[k];
    const float r = re[k] * hr - im[k] * hi;
    im[k] = re[k] * hi + im[k] * hr;
    re[k] = r;
  }
  fft_.inverse(re, im, samples_);
  std::copy_n(samples_.data() + skip, out.size(), out.begin());
}

}  // namespace endpin::listen
