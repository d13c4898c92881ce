#include "hear_take.h"

#include <fstream>
#include <mutex>

#include "endpin/app/decode_in_child.h"
#include "endpin/app/files.h"
#include "endpin/book/upload.h"
#include "endpin/media/encode.h"

namespace endpin::desk {
namespace {

namespace fs = std::filesystem;

// Shares of the whole, measured roughly: the rest is writing.
constexpr double decoded_at = 0.25;
constexpr double heard_at = 0.95;

Result<void> keep_sound(const Audio& audio, const fs::path& folder) {
  auto wav = encode(audio, AudioFormat::wav);
  if (!wav) return Unexpected(wav.error());
  return app::write_file_atomically(folder / "audio.wav", *wav);
}

HearOptions options(const HearJob& job) {
  HearOptions o;
  if (job.take.tempo_bpm) {
    o.tempo_hint = Bpm(*job.take.tempo_bpm * job.items.front().timeline.beat_unit.to_double());
  }
  if (job.a4) o.a4 = Hertz(*job.a4);
  return o;
}

std::string part_of(const fs::path& file, std::int64_t from, std::size_t length) {
  std::ifstream in(file, std::ios::binary);
  in.seekg(from);
  std::string bytes(length, '\0');
  in.read(bytes.data(), static_cast<std::streamsize>(length));
  bytes.resize(static_cast<std::size_t>(std::max<std::streamsize>(0, in.gcount())));
  return bytes;
}

}  // namespace

Result<std::vector<ItemHearing>> hear_take(const HearJob& job) {
  job.progress(0);
  auto audio = app::decode_in_child(job.original);
  if (!audio) {
    Error error = audio.error();
    error.file = job.take.file_name;  // the name that the teacher knows
    return Unexpected(error);
  }
  job.decoded(audio->duration().value());
  if (auto kept = keep_sound(*audio, job.folder); !kept) return Unexpected(kept.error());
  job.progress(decoded_at);
  const AudioView view{audio->samples, static_cast<double>(audio->rate)};
  std::vector<Timeline> timelines;
  for (const TakeItem& item : job.items) timelines.push_back(item.timeline);
  const FindingOptions verdicts{job.step, job.language, options(job).tempo_hint};
  auto heard = hear_apart(timelines, view, options(job), verdicts, [&](double done) {
    job.progress(decoded_at + done * (heard_at - decoded_at));
  });
  for (ItemHearing& one : heard) {
    if (one.item == 0) one.hearing.score.sha256 = book::sha256(job.score.bytes);
    one.hearing.recording.sha256 = job.take.sha256;
  }
  if (auto kept = keep_items(job.folder, job.items, heard); !kept) return Unexpected(kept.error());
  return heard;
}

Result<fs::path> playable(const fs::path& original, const fs::path& folder) {
  static std::mutex one_at_a_time;
  const fs::path wav = folder / "audio.wav";
  const std::lock_guard lock(one_at_a_time);
  std::error_code failed;
  if (fs::exists(wav, failed)) return wav;
  const auto audio = app::decode_in_child(original);
  if (!audio) return Unexpected(audio.error());
  if (auto kept = keep_sound(*audio, folder); !kept) return Unexpected(kept.error());
  return wav;
}

bool has_picture(const fs::path& file) {
  std::error_code failed;
  const auto size = static_cast<std::int64_t>(fs::file_size(file, failed));
  if (failed) return false;
  constexpr std::int64_t looked_at = 1 << 20;
  std::string bytes = part_of(file, 0, looked_at);
  if (size > looked_at) bytes += part_of(file, std::max(looked_at, size - looked_at), looked_at);
  // ISO 14496-12's video handler; Matroska's codec ids.
  for (const char* mark : {"hdlr\0\0\0\0\0\0\0\0vide", "V_VP8", "V_VP9", "V_AV1", "V_MPEG"}) {
    const std::string_view wanted =
        mark[0] == 'h' ? std::string_view(mark, 16) : std::string_view(mark);
    if (bytes.find(wanted) != std::string::npos) return true;
  }
  return false;
}

}  // namespace endpin::desk
