#pragma once

#include "endpin/base/audio.h"

namespace endpin::evaluation {

enum class Codec { opus_24k, aac_64k, mp3_32k_11khz };

/// Coded as phones and messengers do (libopus in Ogg, libavcodec's AAC in MP4) or
/// as old recorders do (MP3 at a low rate), by the ffmpeg program, and decoded again by libs/media,
/// so that what it makes of the codec's delay is tested as well. Stops the program with a message
/// where ffmpeg fails: figures without it would be others.
Audio through_codec(const Audio& audio, Codec codec);

}  // namespace endpin::evaluation
