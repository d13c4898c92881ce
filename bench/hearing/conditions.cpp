#include <cstdlib>
#include <cstring>

#include "endpin/simulator/channel.h"

#include "codec.h"
#include "evaluation.h"

namespace endpin::evaluation {

using namespace simulator;

const char* name(Condition condition) {
  switch (condition) {
    case Condition::clean:
      return "clean";
    case Condition::room:
      return "room 0.4 s";
    case Condition::phone_20:
      return "phone, 20 dB, Opus 24 kbit/s";
    case Condition::phone_10:
      return "phone, 10 dB, AAC 64 kbit/s";
    case Condition::hall:
      return "room 1.5 s";
    case Condition::hall_10:
      return "10 dB";
    case Condition::pumping:
      return "strong gain control, clipping";
    case Condition::narrow:
      return "8 kHz sampling, 20 dB";
    case Condition::hum:
      return "mains hum, 12 dB";
    case Condition::handling:
      return "wind and handling noise";
  }
  return "";
}

Audio through(Audio audio, Condition condition, std::uint64_t seed) {
  switch (condition) {
    case Condition::clean:
      add_noise(audio, Decibels(45), seed);
      return audio;
    case Condition::room:
      add_room(audio, Seconds(0.4), seed);
      add_noise(audio, Decibels(35), seed);
      return audio;
    case Condition::phone_20:
      add_room(audio, Seconds(0.3), seed);
      add_noise(audio, Decibels(20), seed);
      phone_microphone(audio);
      return through_codec(audio, Codec::opus_24k);
    case Condition::phone_10:
      add_room(audio, Seconds(0.3), seed);
      add_noise(audio, Decibels(10), seed);
      phone_microphone(audio);
      return through_codec(audio, Codec::aac_64k);
    case Condition::hall:
      add_room(audio, Seconds(1.5), seed);
      add_noise(audio, Decibels(40), seed);
      return audio;
    case Condition::hall_10:
      add_noise(audio, Decibels(10), seed);
      return audio;
    case Condition::pumping:
      add_room(audio, Seconds(0.4), seed);
      add_noise(audio, Decibels(25), seed);
      gain_control(audio, strong_gain_control);
      clip(audio, Decibels(6));
      return through_codec(audio, Codec::aac_64k);
    case Condition::narrow:
      add_room(audio, Seconds(0.4), seed);
      add_noise(audio, Decibels(20), seed);
      low_pass(audio, Hertz(3600));
      phone_microphone(audio);
      return through_codec(audio, Codec::opus_24k);
    case Condition::hum:
      add_room(audio, Seconds(0.4), seed);
      add_noise(audio, Decibels(30), seed);
      add_hum(audio, Decibels(12), Hertz(seed % 2 == 0 ? 50 : 60));
      return audio;
    case Condition::handling:
      add_room(audio, Seconds(0.4), seed);
      add_noise(audio, Decibels(30), seed);
      add_handling(audio, Decibels(3), seed);
      phone_microphone(audio);
      return audio;
  }
  return audio;
}

}  // namespace endpin::evaluation
