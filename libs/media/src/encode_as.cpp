#include "encode_as.h"

#include <algorithm>
#include <array>
#include <vector>

extern "C" {
#include <libavutil/opt.h>
}

namespace endpin {
namespace {

constexpr int default_frame = 4096;  // samples, where the codec leaves it open

Unexpected failed(const Encoding& encoding, const char* what) {
  return Unexpected({ErrorKind::machine,
                     {},
                     {},
                     std::string(encoding.codec) + " in " + encoding.muxer + ": " + what,
                     "Check that this system's libavcodec has the codec."});
}

class Encoder {
 public:
  Encoder(const Audio& audio, const Encoding& encoding) : audio_(audio), encoding_(encoding) {}
  ~Encoder();
  Encoder(const Encoder&) = delete;
  Encoder& operator=(const Encoder&) = delete;

  Result<std::string> run(const std::string& title);

 private:
  const char* open_codec();
  const char* open_container(const std::string& title);
  const char* open_resampler();
  const char* send_all();
  const char* send(const AVFrame* frame);
  const char* send_samples(int count);
  std::string take_bytes();

  const Audio& audio_;
  const Encoding& encoding_;
  AVFormatContext* format_ = nullptr;
  libav::Codec codec_;
  libav::Resampler resampler_;
  libav::Packet packet_{av_packet_alloc()};
  AVStream* stream_ = nullptr;
  bool at_end_ = false;
  std::int64_t next_ = 0;  // time stamp of the next frame, in samples
};

Encoder::~Encoder() {
  if (format_ == nullptr) return;
  if (format_->pb != nullptr) take_bytes();
  avformat_free_context(format_);
}

std::string Encoder::take_bytes() {
  std::uint8_t* data = nullptr;
  const int size = avio_close_dyn_buf(format_->pb, &data);
  format_->pb = nullptr;
  std::string bytes(data, data + size);
  av_free(data);
  return bytes;
}

const char* Encoder::open_codec() {
  const AVCodec* codec = avcodec_find_encoder_by_name(encoding_.codec);
  if (codec == nullptr) return "there is no such encoder here";
  codec_.reset(avcodec_alloc_context3(codec));
  codec_->sample_rate = encoding_.rate > 0 ? encoding_.rate : audio_.rate;
  codec_->sample_fmt = codec->sample_fmts != nullptr ? codec->sample_fmts[0] : AV_SAMPLE_FMT_S16;
  codec_->ch_layout = libav::mono();
  codec_->bit_rate = encoding_.bit_rate;
  if (encoding_.effort >= 0) codec_->compression_level = encoding_.effort;
  codec_->time_base = {1, codec_->sample_rate};
  codec_->thread_count = 1;
  codec_->flags |= AV_CODEC_FLAG_BITEXACT;
  if ((format_->oformat->flags & AVFMT_GLOBALHEADER) != 0) {
    codec_->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
  }
  return avcodec_open2(codec_.get(), codec, nullptr) < 0 ? "the encoder refuses this rate"
                                                         : nullptr;
}

const char* Encoder::open_container(const std::string& title) {
  // Bit-exact: no dates, no versions, Ogg serial numbers counted from 0.
  format_->flags |= AVFMT_FLAG_BITEXACT;
  stream_ = avformat_new_stream(format_, nullptr);
  stream_->time_base = codec_->time_base;
  avcodec_parameters_from_context(stream_->codecpar, codec_.get());
  if (!title.empty()) av_dict_set(&format_->metadata, "title", title.c_str(), 0);
  if (avio_open_dyn_buf(&format_->pb) < 0) return "out of memory";
  return avformat_write_header(format_, nullptr) < 0 ? "the container refuses this codec" : nullptr;
}

const char* Encoder::open_resampler() {
  AVChannelLayout layout = libav::mono();
  SwrContext* made = nullptr;
  const int status = swr_alloc_set_opts2(&made, &layout, codec_->sample_fmt, codec_->sample_rate,
                                         &layout, AV_SAMPLE_FMT_FLT, audio_.rate, 0, nullptr);
  resampler_.reset(made);
  return status < 0 || swr_init(resampler_.get()) < 0 ? "no such resampling" : nullptr;
}

const char* Encoder::send(const AVFrame* frame) {
  if (avcodec_send_frame(codec_.get(), frame) < 0) return "encoding broke off";
  while (avcodec_receive_packet(codec_.get(), packet_.get()) >= 0) {
    packet_->stream_index = stream_->index;
    av_packet_rescale_ts(packet_.get(), codec_->time_base, stream_->time_base);
    if (av_interleaved_write_frame(format_, packet_.get()) < 0) return "writing broke off";
  }
  return nullptr;
}

// Takes `count` samples out of the resampler as one frame.
const char* Encoder::send_samples(int count) {
  const libav::Frame frame(av_frame_alloc());
  frame->format = codec_->sample_fmt;
  frame->sample_rate = codec_->sample_rate;
  frame->ch_layout = codec_->ch_layout;
  frame->nb_samples = count;
  if (av_frame_get_buffer(frame.get(), 0) < 0) return "out of memory";
  // Null as input would end the stream: an empty one takes out what is there.
  const std::uint8_t* none = nullptr;
  frame->nb_samples =
      swr_convert(resampler_.get(), frame->extended_data, count, at_end_ ? nullptr : &none, 0);
  if (frame->nb_samples <= 0) return nullptr;
  frame->pts = next_;
  next_ += frame->nb_samples;
  return send(frame.get());
}

const char* Encoder::send_all() {
  const int frame = codec_->frame_size > 0 ? codec_->frame_size : default_frame;
  for (std::size_t at = 0; at < audio_.samples.size(); at += default_frame) {
    const auto count =
        static_cast<int>(std::min<std::size_t>(default_frame, audio_.samples.size() - at));
    const auto* in = reinterpret_cast<const std::uint8_t*>(audio_.samples.data() + at);
    if (swr_convert(resampler_.get(), nullptr, 0, &in, count) < 0) return "resampling broke off";
    while (swr_get_out_samples(resampler_.get(), 0) >= 2 * frame) {
      if (const char* wrong = send_samples(frame)) return wrong;
    }
  }
  at_end_ = true;
  std::int64_t before = -1;
  while (next_ != before) {
    before = next_;
    if (const char* wrong = send_samples(frame)) return wrong;
  }
  return send(nullptr);
}

Result<std::string> Encoder::run(const std::string& title) {
  if (avformat_alloc_output_context2(&format_, nullptr, encoding_.muxer, nullptr) < 0) {
    return failed(encoding_, "there is no such container here");
  }
  const char* wrong = open_codec();
  if (wrong == nullptr) wrong = open_container(title);
  if (wrong == nullptr) wrong = open_resampler();
  if (wrong == nullptr) wrong = send_all();
  if (wrong == nullptr && av_write_trailer(format_) < 0) wrong = "writing broke off";
  if (wrong != nullptr) return failed(encoding_, wrong);
  return take_bytes();
}

}  // namespace

Result<std::string> encode_as(const Audio& audio, const Encoding& encoding,
                              const std::string& title) {
  libav::quiet();
  return Encoder(audio, encoding).run(title);
}

}  // namespace endpin
