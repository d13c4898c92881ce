#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "backing/impulse_response.h"
#include "backing/sound_reader.h"
#include "backing/two_way_fft.h"

namespace endpin::listen {

/// A recording and the backing that may be heard in it: at one rate, sample for sample in time.
struct TwoSounds {
  SoundReader recording, backing;
  std::int64_t size = 0;  ///< samples of the recording
  double rate_hz = 0;
};

/// The way from a loudspeaker to the microphone: one linear filter of some 0.25 s, of which 0.06 s
/// lie before the time at which the backing was placed. It is estimated where the backing stands
/// alone, by weighing each cell of the short-time spectra with what it leaves unexplained (least
/// squares weighted again and again, a Cauchy error: Holland & Welsch 1977), so that a player above
/// it, in unison too, is not taken for the loudspeaker. O(length), with memory for at most 400
/// spectra.
class Loudspeaker {
 public:
  explicit Loudspeaker(TwoSounds sounds);

  /// What the filter of one half of the sound says of the other (cross-validation, Stone 1974).
  struct HeldOut {
    double explained = 0;  ///< share of the moments that it brings nearer to silence
    double gain = 0;       ///< over all moments, mean log of the power before to the power after
    double first_s = 0;    ///< when it first arrives, after where it was placed
  };
  /// Where the backing is not to be heard the filter has learnt chance and the player, and makes
  /// the other half louder. Empty: less than two moments of the backing.
  std::optional<HeldOut> held_out();

  /// Estimates the filter on the whole sound; then `arriving` gives what arrives of the backing.
  void estimate();
  /// Samples from, from + 1, …
  void arriving(std::int64_t from, std::span<float> out) { arriving_.read(from, out); }

 private:
  enum class Part { all, even, odd };
  struct Cells {
    std::vector<float> real, imaginary;  // [frame][bin]
  };

  std::vector<float> ridge() const;
  bool belongs(std::size_t frame, Part part) const;
  void add_spectrum(Cells& into);
  void measure();
  void fit(Part part, ImpulseResponse& response);
  ImpulseResponse fitted(Part part);
  double gain(std::size_t frame, const ImpulseResponse& response) const;
  double first_arrival(const ImpulseResponse& a, const ImpulseResponse& b) const;
  void filter(std::int64_t from, std::span<float> out);

  TwoSounds sounds_;
  std::size_t window_, bins_;
  std::size_t length_, lead_;  // samples of the filter; of them before the beginning
  std::int64_t centre_;        // the filter's middle, about: the frames lie that much apart
  TwoWayFft fft_;
  std::vector<float> shape_, samples_;
  Cells backing_, recording_;
  std::size_t frames_ = 0;
  std::vector<float> floor_;  // [bin]
  std::optional<ImpulseResponse> response_;
  BlockReader arriving_;
};

}  // namespace endpin::listen
