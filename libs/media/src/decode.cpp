#include "endpin/media/decode.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cmath>
#include <cstring>
#include <numbers>
#include <vector>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "input_file.h"
#include "libav.h"

namespace endpin {
namespace {

// Browsers stamp packets in whole milliseconds, so a smaller hole may be rounding.
constexpr double smallest_hole_s = 0.05;
constexpr float clip = 4.0F;
// Ours: what no recorder goes beyond, by far. A damaged header may claim a sample a second or a
// thousand million, for which a resampler would take gigabytes.
constexpr int lowest_file_rate = 1000;
constexpr int highest_file_rate = 768000;
constexpr int most_channels = 64;
// Of two channels the sum has less power than that share of the difference: a balanced line on two
// channels, one of them turned over. Their sum would be next to nothing. Rooms and players beside
// each other do not come near it for long.
constexpr double opposed_below = 0.1;

Unexpected refuse(const std::string& name, std::string what, std::string remedy) {
  return Unexpected({ErrorKind::input, name, {}, std::move(what), std::move(remedy)});
}

Unexpected too_long(const std::string& name, Seconds limit) {
  const auto minutes = static_cast<int>(std::lround(limit.value() / 60));
  const std::string bound = limit.value() < 120
                                ? std::to_string(std::lround(limit.value())) + " seconds"
                                : std::to_string(minutes) + " minutes";
  return refuse(name, "the recording is longer than " + bound,
                "Cut out the part with the piece and try again.");
}

/// Two channels become one: their sum, or their difference where they are opposed in all that was
/// heard so far; by the square root of two, as two sounds that are unlike keep their power.
class TwoChannels {
 public:
  /// Mixes `count` pairs in place; afterwards the first `count` values are the mixture.
  void mix(std::span<float> pairs, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) {
      const double left = sound(pairs[2 * i]), right = sound(pairs[2 * i + 1]);
      sum_ += (left + right) * (left + right);
      difference_ += (left - right) * (left - right);
    }
    const float right_share = sum_ < opposed_below * difference_ ? -share : share;
    for (std::size_t i = 0; i < count; ++i) {
      pairs[i] = share * pairs[2 * i] + right_share * pairs[2 * i + 1];
    }
  }

 private:
  static double sound(float sample) {
    return std::isfinite(sample) ? static_cast<double>(std::clamp(sample, -clip, clip)) : 0;
  }
  static constexpr float share = 1 / std::numbers::sqrt2_v<float>;
  double sum_ = 0, difference_ = 0;
};

class Decoder {
 public:
  Decoder(InputFile file, std::string name, const DecodeLimits& limits, const SampleSink& sink)
      : file_(std::move(file)), name_(std::move(name)), limits_(limits), sink_(sink) {}

  Result<void> run(const InfoSink& begin);

 private:
  Result<void> open();
  Result<void> receive_frames();
  Result<void> take(const AVFrame& frame);
  Result<void> configure(const AVFrame& frame);
  Result<void> fill_hole(const AVFrame& frame);
  Result<void> convert(const AVFrame* frame);
  Result<void> give(std::span<float> samples);
  std::int64_t expected_samples() const;
  double seconds_of(std::int64_t stamp) const;

  InputFile file_;
  std::string name_;
  const DecodeLimits& limits_;
  const SampleSink& sink_;
  libav::Codec codec_;
  libav::Frame frame_{av_frame_alloc()};
  libav::Resampler resampler_;
  AVChannelLayout layout_{};
  TwoChannels two_channels_;
  int channels_ = 1;  // that come out of the resampler
  int format_ = -1;
  int file_rate_ = 0;
  int rate_ = 0;
  double consumed_s_ = 0;  // of the stream's own time, holes included
  std::int64_t given_ = 0;
  std::vector<float> converted_;
};

Result<void> Decoder::open() {
  const AVCodecParameters* parameters = file_.stream()->codecpar;
  const AVCodec* decoder = avcodec_find_decoder(parameters->codec_id);
  codec_.reset(avcodec_alloc_context3(decoder));
  const bool ready = decoder != nullptr && codec_ != nullptr &&
                     avcodec_parameters_to_context(codec_.get(), parameters) >= 0;
  if (ready) {
    codec_->thread_count = 1;
    codec_->pkt_timebase = file_.stream()->time_base;
  }
  if (!ready || avcodec_open2(codec_.get(), decoder, nullptr) < 0) {
    return refuse(name_, "the sound in this file is of a kind that cannot be decoded",
                  "Export it as WAV, M4A or MP3.");
  }
  const std::int64_t length = file_.format()->duration;
  if (length != AV_NOPTS_VALUE &&
      static_cast<double>(length) / AV_TIME_BASE > limits_.duration.value() + 1) {
    return too_long(name_, limits_.duration);
  }
  return {};
}

std::int64_t Decoder::expected_samples() const {
  const std::int64_t length = file_.format()->duration;
  return length == AV_NOPTS_VALUE || length < 0 ? 0 : av_rescale(length, rate_, AV_TIME_BASE);
}

double Decoder::seconds_of(std::int64_t stamp) const {
  const std::int64_t start = file_.format()->start_time;
  const double from = start == AV_NOPTS_VALUE ? 0 : static_cast<double>(start) / AV_TIME_BASE;
  return static_cast<double>(stamp) * av_q2d(file_.stream()->time_base) - from;
}

Result<void> Decoder::configure(const AVFrame& frame) {
  if (resampler_) {
    if (const Result<void> rest = convert(nullptr); !rest) return rest;
  }
  if (frame.sample_rate < lowest_file_rate || frame.sample_rate > highest_file_rate ||
      frame.ch_layout.nb_channels > most_channels) {
    return refuse(name_,
                  "it claims " + std::to_string(frame.ch_layout.nb_channels) + " channels of " +
                      std::to_string(frame.sample_rate) + " samples a second",
                  "Record or export it again.");
  }
  channels_ = frame.ch_layout.nb_channels == 2 ? 2 : 1;
  AVChannelLayout out = libav::mono();
  if (channels_ == 2) av_channel_layout_default(&out, 2);
  SwrContext* made = nullptr;
  AVChannelLayout in = frame.ch_layout;
  if (in.order == AV_CHANNEL_ORDER_UNSPEC)
    av_channel_layout_default(&in, frame.ch_layout.nb_channels);
  const int status =
      swr_alloc_set_opts2(&made, &out, AV_SAMPLE_FMT_FLT, rate_, &in,
                          static_cast<AVSampleFormat>(frame.format), frame.sample_rate, 0, nullptr);
  resampler_.reset(made);
  if (status < 0 || swr_init(resampler_.get()) < 0) {
    return refuse(name_, "its channels cannot be mixed", "Export it as mono or stereo.");
  }
  layout_ = frame.ch_layout;
  format_ = frame.format;
  file_rate_ = frame.sample_rate;
  return {};
}

Result<void> Decoder::give(std::span<float> samples) {
  for (float& sample : samples) {
    sample = std::isfinite(sample) ? std::clamp(sample, -clip, clip) : 0.0F;
  }
  given_ += static_cast<std::int64_t>(samples.size());
  if (static_cast<double>(given_) > limits_.duration.value() * rate_) {
    return too_long(name_, limits_.duration);
  }
  sink_(samples);
  return {};
}

Result<void> Decoder::convert(const AVFrame* frame) {
  const int in = frame != nullptr ? frame->nb_samples : 0;
  const int room = swr_get_out_samples(resampler_.get(), in);
  if (room <= 0) return {};
  converted_.resize(static_cast<std::size_t>(room) * static_cast<std::size_t>(channels_));
  auto* out = reinterpret_cast<std::uint8_t*>(converted_.data());
  // libav's own signature wants pointers to const data without being const itself.
  auto** data = frame != nullptr ? const_cast<const std::uint8_t**>(frame->extended_data) : nullptr;
  const int got = swr_convert(resampler_.get(), &out, room, data, in);
  if (got <= 0) return {};
  if (channels_ == 2) two_channels_.mix(converted_, static_cast<std::size_t>(got));
  return give(std::span(converted_).first(static_cast<std::size_t>(got)));
}

Result<void> Decoder::fill_hole(const AVFrame& frame) {
  if (frame.pts == AV_NOPTS_VALUE) return {};
  const double hole = seconds_of(frame.pts) - consumed_s_;
  if (!(hole > smallest_hole_s)) return {};
  if (hole > limits_.duration.value()) return too_long(name_, limits_.duration);
  std::vector<float> silence(static_cast<std::size_t>(hole * rate_));
  consumed_s_ += hole;
  return give(silence);
}

Result<void> Decoder::take(const AVFrame& frame) {
  if (frame.sample_rate <= 0 || frame.nb_samples <= 0) return {};
  const bool changed = !resampler_ || frame.format != format_ || frame.sample_rate != file_rate_ ||
                       av_channel_layout_compare(&frame.ch_layout, &layout_) != 0;
  if (changed) {
    if (const Result<void> ready = configure(frame); !ready) return ready;
  }
  if (const Result<void> filled = fill_hole(frame); !filled) return filled;
  consumed_s_ += static_cast<double>(frame.nb_samples) / frame.sample_rate;
  return convert(&frame);
}

Result<void> Decoder::receive_frames() {
  while (avcodec_receive_frame(codec_.get(), frame_.get()) >= 0) {
    const Result<void> taken = take(*frame_);
    av_frame_unref(frame_.get());
    if (!taken) return taken;
  }
  return {};
}

Result<void> Decoder::run(const InfoSink& begin) {
  if (const Result<void> opened = open(); !opened) return opened;
  const int native = std::min(std::max(codec_->sample_rate, 1), limits_.highest_rate);
  rate_ = limits_.rate > 0 ? limits_.rate : native;
  begin({rate_, expected_samples()});
  const libav::Packet packet(av_packet_alloc());
  while (file_.read(packet.get())) {
    // A packet that cannot be decoded is passed over; its time becomes a hole.
    avcodec_send_packet(codec_.get(), packet.get());
    av_packet_unref(packet.get());
    if (const Result<void> received = receive_frames(); !received) return received;
  }
  avcodec_send_packet(codec_.get(), nullptr);
  if (const Result<void> received = receive_frames(); !received) return received;
  if (resampler_) {
    if (const Result<void> rest = convert(nullptr); !rest) return rest;
  }
  if (given_ == 0) {
    return refuse(name_, "not one sample of sound could be decoded", "Record or export it again.");
  }
  return {};
}

}  // namespace

Result<void> decode(int descriptor, const std::string& name, const DecodeLimits& limits,
                    const InfoSink& begin, const SampleSink& sink) {
  Result<InputFile> file = InputFile::open(descriptor, name);
  if (!file) return Unexpected(file.error());
  return Decoder(std::move(*file), name, limits, sink).run(begin);
}

Result<Audio> decode(const std::string& path, const DecodeLimits& limits) {
  const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
  if (descriptor < 0) return refuse(path, std::strerror(errno), "Check the path.");
  struct stat status {};
  Audio audio;
  const auto run = [&]() -> Result<void> {
    if (::fstat(descriptor, &status) != 0 || !S_ISREG(status.st_mode)) {
      return refuse(path, "this is not a file", "Give a sound or video file.");
    }
    if (status.st_size > limits.file_bytes) {
      return refuse(path, "the file is too large", "Cut out the part with the piece.");
    }
    return decode(
        descriptor, path, limits, [&](const SoundInfo& info) { audio.rate = info.rate; },
        [&](std::span<const float> samples) {
          audio.samples.insert(audio.samples.end(), samples.begin(), samples.end());
        });
  };
  const Result<void> done = run();
  ::close(descriptor);
  if (!done) return Unexpected(done.error());
  return audio;
}

}  // namespace endpin
