#include "endpin/media/loudness.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>

#include "libav.h"

extern "C" {
#include <libavfilter/buffersink.h>
#include <libavfilter/buffersrc.h>
}

namespace endpin {
namespace {

constexpr std::size_t block = 4096;

Unexpected failed() {
  return Unexpected({ErrorKind::machine,
                     {},
                     {},
                     "loudness cannot be measured: libavfilter has no ebur128 filter",
                     "Install the system's full libavfilter."});
}

/// A graph of one source, the meter and one sink.
struct Meter {
  libav::Graph graph{avfilter_graph_alloc()};
  AVFilterContext* source = nullptr;
  AVFilterContext* sink = nullptr;

  bool open(int rate) {
    const std::string in = "sample_rate=" + std::to_string(rate) +
                           ":sample_fmt=flt:channel_layout=mono:time_base=1/" +
                           std::to_string(rate);
    AVFilterContext* meter = nullptr;
    const auto add = [&](AVFilterContext** context, const char* filter, const char* arguments) {
      const AVFilter* found = avfilter_get_by_name(filter);
      return found != nullptr && avfilter_graph_create_filter(context, found, filter, arguments,
                                                              nullptr, graph.get()) >= 0;
    };
    return add(&source, "abuffer", in.c_str()) && add(&meter, "ebur128", "peak=true:metadata=1") &&
           add(&sink, "abuffersink", nullptr) && avfilter_link(source, 0, meter, 0) >= 0 &&
           avfilter_link(meter, 0, sink, 0) >= 0 &&
           avfilter_graph_config(graph.get(), nullptr) >= 0;
  }
};

std::optional<double> tag(const AVFrame& frame, const char* key) {
  const AVDictionaryEntry* entry = av_dict_get(frame.metadata, key, nullptr, 0);
  if (entry == nullptr) return std::nullopt;
  return std::stod(entry->value);
}

void drain(const Meter& meter, Loudness& loudness) {
  const libav::Frame frame(av_frame_alloc());
  while (av_buffersink_get_frame(meter.sink, frame.get()) >= 0) {
    if (const auto lufs = tag(*frame, "lavfi.r128.I")) loudness.integrated_lufs = *lufs;
    if (const auto peak = tag(*frame, "lavfi.r128.true_peaks_ch0"); peak && *peak > 0) {
      loudness.true_peak_dbtp = std::max(loudness.true_peak_dbtp, 20 * std::log10(*peak));
    }
    av_frame_unref(frame.get());
  }
}

}  // namespace

Result<Loudness> measure_loudness(const Audio& audio) {
  libav::quiet();
  Meter meter;
  if (!meter.open(audio.rate)) return failed();
  Loudness loudness;
  // The meter reports every 100 ms: the last of them is filled up with silence.
  const std::size_t step = static_cast<std::size_t>(audio.rate) / 10;
  const std::size_t total = (audio.samples.size() + step - 1) / step * step;
  for (std::size_t at = 0; at < total; at += block) {
    const libav::Frame frame(av_frame_alloc());
    frame->format = AV_SAMPLE_FMT_FLT;
    frame->sample_rate = audio.rate;
    frame->ch_layout = libav::mono();
    frame->nb_samples = static_cast<int>(std::min(block, total - at));
    frame->pts = static_cast<std::int64_t>(at);
    if (av_frame_get_buffer(frame.get(), 0) < 0) return failed();
    auto* out = reinterpret_cast<float*>(frame->data[0]);
    for (int i = 0; i < frame->nb_samples; ++i) {
      const std::size_t from = at + static_cast<std::size_t>(i);
      out[i] = from < audio.samples.size() ? audio.samples[from] : 0.0F;
    }
    if (av_buffersrc_add_frame(meter.source, frame.get()) < 0) return failed();
    drain(meter, loudness);
  }
  return loudness;
}

}  // namespace endpin
