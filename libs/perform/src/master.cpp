#include "master.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

namespace endpin {
namespace {

struct Biquad {
  double b0, b1, b2, a1, a2;
  double z1 = 0, z2 = 0;
  double operator()(double x) {
    const double y = b0 * x + z1;
    z1 = b1 * x - a1 * y + z2;
    z2 = b2 * x - a2 * y;
    return y;
  }
};

constexpr std::size_t step = 4800;  // 100 ms

// Mean square of every 100 ms of K-weighted sound.
std::vector<double> weighted_energy(std::span<const float> samples) {
  Biquad shelf{1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241,
               0.73248077421585};
  Biquad high_pass{1.0, -2.0, 1.0, -1.99004745483398, 0.99007225036621};
  std::vector<double> energies;
  for (std::size_t at = 0; at + step <= samples.size(); at += step) {
    double sum = 0;
    for (const float s : samples.subspan(at, step)) {
      const double y = high_pass(shelf(s));
      sum += y * y;
    }
    energies.push_back(sum / step);
  }
  return energies;
}

double lufs(double energy) { return -0.691 + 10 * std::log10(std::max(energy, 1e-30)); }

double mean_above(const std::vector<double>& blocks, double gate) {
  double sum = 0;
  std::size_t count = 0;
  for (const double block : blocks) {
    if (lufs(block) <= gate) continue;
    sum += block;
    ++count;
  }
  return count > 0 ? sum / static_cast<double>(count) : 0;
}

// The interpolation filter of BS.1770-4, annex 2, table of the 48-tap filter: phases 0 and 1; 2 and
// 3 are their mirror images.
constexpr std::array<double, 12> phase0{0.0017089843750,  0.0109863281250,  -0.0196533203125,
                                        0.0332031250000,  -0.0594482421875, 0.1373291015625,
                                        0.9721679687500,  -0.1022949218750, 0.0476074218750,
                                        -0.0266113281250, 0.0148925781250,  -0.0083007812500};
constexpr std::array<double, 12> phase1{-0.0291748046875, 0.0292968750000,  -0.0517578125000,
                                        0.0891113281250,  -0.1665039062500, 0.4650878906250,
                                        0.7797851562500,  -0.2003173828125, 0.1015625000000,
                                        -0.0582275390625, 0.0330810546875,  -0.0189208984375};

// The largest of the four interpolated values around sample i, and of the sample itself.
double true_peak_at(std::span<const float> samples, std::size_t i) {
  double forward0 = 0, forward1 = 0, backward0 = 0, backward1 = 0;
  for (std::size_t tap = 0; tap < 12; ++tap) {
    const std::size_t at = i + 6 - tap;  // wraps around below 0, and is then out of range
    if (at >= samples.size()) continue;
    const double s = samples[at];
    forward0 += s * phase0[tap];
    forward1 += s * phase1[tap];
    backward1 += s * phase1[11 - tap];
    backward0 += s * phase0[11 - tap];
  }
  return std::max({std::abs(static_cast<double>(samples[i])), std::abs(forward0),
                   std::abs(forward1), std::abs(backward0), std::abs(backward1)});
}

}  // namespace

double loudness(std::span<const float> samples) {
  const std::vector<double> energies = weighted_energy(samples);
  std::vector<double> blocks;
  for (std::size_t i = 0; i + 4 <= energies.size(); ++i) {
    blocks.push_back((energies[i] + energies[i + 1] + energies[i + 2] + energies[i + 3]) / 4);
  }
  const double gate = lufs(mean_above(blocks, -70)) - 10;
  return lufs(mean_above(blocks, std::max(gate, -70.0)));
}

void limit(std::span<float> samples, double ceiling) {
  constexpr std::size_t reach = 240;  // 5 ms
  std::vector<float> gain(samples.size(), 1.0F);
  bool needed = false;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    // Interpolation adds little more than half to a sample's neighbourhood.
    if (std::abs(samples[i]) < 0.5 * ceiling) continue;
    const double peak = true_peak_at(samples, i);
    if (peak <= ceiling) continue;
    needed = true;
    const double wanted = ceiling / peak;
    const std::size_t from = i > reach ? i - reach : 0;
    const std::size_t to = std::min(samples.size(), i + reach + 1);
    for (std::size_t k = from; k < to; ++k) {
      const double distance = std::abs(static_cast<double>(k) - static_cast<double>(i)) / reach;
      const double less =
          (1 - wanted) * (distance < 0.05 ? 1 : 0.5 + 0.5 * std::cos(std::numbers::pi * distance));
      gain[k] = std::min(gain[k], static_cast<float>(1 - less));
    }
  }
  if (!needed) return;
  for (std::size_t i = 0; i < samples.size(); ++i) samples[i] *= gain[i];
}

}  // namespace endpin
