// endpin-hostile-audio DIR: writes sound files that are damaged, mislabelled, absurd or huge.
#include <cmath>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <functional>
#include <limits>
#include <numbers>
#include <string>
#include <vector>

#include "broken.h"
#include "encode_as.h"
#include "wave_file.h"

namespace endpin::hostile {
namespace {

using Signal = std::function<double(double seconds)>;

double tone(double t) { return 0.4 * std::sin(2 * std::numbers::pi * 196 * t); }

Audio audio_of(const Signal& signal, double seconds, int rate = 48000) {
  Audio audio{rate, std::vector<float>(static_cast<std::size_t>(seconds * rate))};
  for (std::size_t i = 0; i < audio.samples.size(); ++i) {
    audio.samples[i] = static_cast<float>(signal(static_cast<double>(i) / rate));
  }
  return audio;
}

std::string encoded(const Audio& audio, const Encoding& encoding) {
  Result<std::string> bytes = encode_as(audio, encoding, "hostile");
  if (bytes) return *std::move(bytes);
  std::fprintf(stderr, "%s\n", bytes.error().line().c_str());
  std::exit(3);
}

std::string float_bytes(const std::vector<float>& samples) {
  std::string bytes(samples.size() * sizeof(float), '\0');
  std::memcpy(bytes.data(), samples.data(), bytes.size());
  return bytes;
}

std::string int16_bytes(std::size_t count, const std::function<int(std::size_t)>& value) {
  std::string bytes;
  for (std::size_t i = 0; i < count; ++i) {
    const int v = value(i);
    bytes.push_back(static_cast<char>(v & 0xFF));
    bytes.push_back(static_cast<char>(v >> 8 & 0xFF));
  }
  return bytes;
}

class Folder {
 public:
  explicit Folder(std::filesystem::path path) : path_(std::move(path)) {
    std::filesystem::create_directories(path_);
  }
  void add(const std::string& name, const std::string& bytes) {
    char number[16];
    std::snprintf(number, sizeof number, "%02d-", ++count_);
    std::ofstream(path_ / (number + name), std::ios::binary) << bytes;
  }
  int count() const { return count_; }

 private:
  std::filesystem::path path_;
  int count_ = 0;
};

const Encoding mp3{"mp3", "libmp3lame", 128000, 44100};
const Encoding m4a{"ipod", "aac", 96000, 44100};
const Encoding opus{"opus", "libopus", 64000, 48000};
const Encoding webm{"webm", "libopus", 64000, 48000};
const Encoding vorbis{"ogg", "libvorbis", 96000, 44100};
const Encoding flac{"flac", "flac", 0, 0};

void add_no_recordings(Folder& out, Chance& chance) {
  out.add("empty.wav", "");
  out.add("one-byte.mp3", "R");
  out.add("letter.wav", "Dear teacher,\nhere is my practice of the week.\n");
  out.add("page.mp3", "<!doctype html><html><body>Not found</body></html>\n");
  out.add("picture.m4a", "\x89PNG\r\n\x1a\n" + noise_bytes(4000, chance));
  out.add("zeros.mp3", std::string(200'000, '\0'));
  out.add("noise-bytes.wav", noise_bytes(300'000, chance));
  out.add("noise-bytes.mp3", noise_bytes(300'000, chance));
  out.add("playlist.m3u8", "#EXTM3U\n#EXT-X-TARGETDURATION:10\n#EXTINF:9,\n/etc/passwd\n");
  out.add("references.ffconcat", "ffconcat version 1.0\nfile /etc/passwd\nfile /dev/zero\n");
  out.add("silent-film.y4m",
          "YUV4MPEG2 W16 H16 F25:1 C420jpeg\nFRAME\n" + std::string(384, '\x40'));
}

void add_absurd_headers(Folder& out) {
  const std::string data = int16_bytes(48000, [](std::size_t i) { return i % 200 < 100 ? 1 : -1; });
  out.add("header-only.wav", wave_file({}, {}));
  out.add("endless.wav", wave_file({.data_bytes = 0xFFFFFFFF - 36}, data));
  out.add("no-channels.wav", wave_file({.channels = 0}, data));
  out.add("many-channels.wav", wave_file({.channels = 65535}, data));
  out.add("no-rate.wav", wave_file({.rate = 0}, data));
  out.add("absurd-rate.wav", wave_file({.rate = 4'000'000'000U}, data));
  out.add("no-bits.wav", wave_file({.bits = 0}, data));
  out.add("one-hertz.wav", wave_file({.rate = 1}, data));
}

void add_damaged(Folder& out, Chance& chance) {
  const Audio music = audio_of(tone, 8);
  const std::pair<const char*, std::string> whole[] = {
      {"mp3", encoded(music, mp3)},   {"m4a", encoded(music, m4a)},
      {"opus", encoded(music, opus)}, {"webm", encoded(music, webm)},
      {"flac", encoded(music, flac)}, {"ogg", encoded(music, vorbis)}};
  for (const auto& [ending, bytes] : whole) {
    out.add(std::string("truncated.") + ending, truncated(bytes, chance));
    out.add(std::string("flipped.") + ending, flipped(bytes, 400, chance));
  }
  out.add("really-mp3.wav", whole[0].second);
  out.add("really-flac.opus", whole[4].second);
  out.add("really-m4a.txt", whole[1].second);
}

void add_extreme_sounds(Folder& out, Chance& chance) {
  constexpr float nan = std::numeric_limits<float>::quiet_NaN();
  constexpr float infinity = std::numeric_limits<float>::infinity();
  out.add("telephone.wav", encoded(audio_of(tone, 10), {"wav", "pcm_mulaw", 0, 8000}));
  std::vector<float> stereo;
  for (int i = 0; i < 4 * 192000; ++i) {
    const auto left = static_cast<float>(tone(i / 192000.0));
    stereo.insert(stereo.end(), {left, -left});
  }
  out.add("192k-opposite.wav",
          wave_file({.format = 3, .channels = 2, .rate = 192000, .bits = 32}, float_bytes(stereo)));
  out.add("seven-one.wav",
          wave_file({.channels = 8}, int16_bytes(8 * 96000, [](std::size_t i) {
                      return static_cast<int>(9000 * tone(static_cast<double>(i / 8) / 48e3));
                    })));
  out.add("three-hours.flac", encoded(audio_of([](double) { return 0; }, 3 * 3600, 8000), flac));
  out.add("white-noise.wav",
          encoded(audio_of([&](double) { return 0.5 * chance.sample(); }, 30), {}));
  out.add("full-square.wav",
          encoded(audio_of([](double t) { return std::fmod(t * 110, 1) < 0.5 ? 1 : -1; }, 20), {}));
  out.add("no-numbers.wav",
          wave_file({.format = 3, .bits = 32}, float_bytes(std::vector<float>(480'000, nan))));
  std::vector<float> wild(480'000);
  for (std::size_t i = 0; i < wild.size(); ++i) {
    wild[i] = i % 3 == 0 ? infinity : i % 3 == 1 ? -1e38F : 1e-42F;
  }
  out.add("infinities.wav", wave_file({.format = 3, .bits = 32}, float_bytes(wild)));
  out.add("direct-current.wav", encoded(audio_of([](double) { return 0.9; }, 10), {}));
  out.add("one-sample.wav", wave_file({}, std::string("\x01\x40", 2)));
}

int run(const char* folder) {
  Chance chance(2026);
  Folder out(folder);
  add_no_recordings(out, chance);
  add_absurd_headers(out);
  add_damaged(out, chance);
  add_extreme_sounds(out, chance);
  std::printf("%d files\n", out.count());
  return 0;
}

}  // namespace
}  // namespace endpin::hostile

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fputs("usage: endpin-hostile-audio DIR\n", stderr);
    return 2;
  }
  return endpin::hostile::run(argv[1]);
}
