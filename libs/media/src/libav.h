#pragma once

#include <memory>

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavfilter/avfilter.h>
#include <libavformat/avformat.h>
#include <libswresample/swresample.h>
}

/// Owners for what libav* allocates.
namespace endpin::libav {

template <auto free_by_address>
struct FreeByAddress {
  template <typename T>
  void operator()(T* pointer) const {
    free_by_address(&pointer);
  }
};

using Codec = std::unique_ptr<AVCodecContext, FreeByAddress<avcodec_free_context>>;
using Packet = std::unique_ptr<AVPacket, FreeByAddress<av_packet_free>>;
using Frame = std::unique_ptr<AVFrame, FreeByAddress<av_frame_free>>;
using Resampler = std::unique_ptr<SwrContext, FreeByAddress<swr_free>>;
using Graph = std::unique_ptr<AVFilterGraph, FreeByAddress<avfilter_graph_free>>;

inline AVChannelLayout mono() {
  AVChannelLayout layout{};
  av_channel_layout_default(&layout, 1);
  return layout;
}

/// Silences libav's own messages on stderr, once.
void quiet();

}  // namespace endpin::libav
