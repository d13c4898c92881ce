#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <string>
#include <vector>

#include "endpin/listen/findings.h"
#include "endpin/listen/listen.h"
#include "endpin/listen/live.h"

namespace {

using namespace endpin;

// A tune of eight notes; which pitches is the input's to say.
Timeline tune(const std::uint8_t* data, std::size_t size) {
  Timeline t;
  t.instrument = "cello";
  for (std::size_t i = 0; i < 8; ++i) {
    TimelineNote n;
    n.index = static_cast<int>(i);
    n.id = "n" + std::to_string(i);
    n.bar = std::to_string(i / 4 + 1);
    n.onset = Beats(static_cast<std::int64_t>(i));
    n.duration = Beats(1);
    n.midi = 36 + (i < size ? data[i] % 60 : 0);
    n.spelled = spell(n.midi, 0);
    t.notes.push_back(n);
  }
  for (std::int64_t b = 0; b < 2; ++b) {
    TimelineBar bar;
    bar.number = std::to_string(b + 1);
    bar.start = Beats(4 * b);
    bar.length = Beats(4);
    t.bars.push_back(bar);
  }
  return t;
}

}  // namespace

// The bytes are samples as they stand: not-a-number, infinities and anything
// between. Eight bytes name the tune; what follows is repeated to three
// seconds, so that it is long enough to be heard.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size < 12) return 0;
  const Timeline timeline = tune(data, 8);
  std::vector<float> given((size - 8) / sizeof(float));
  std::memcpy(given.data(), data + 8, given.size() * sizeof(float));
  const double rate = data[0] % 2 == 0 ? 8000 : 44100;
  std::vector<float> samples(static_cast<std::size_t>(3 * rate));
  for (std::size_t i = 0; i < samples.size(); ++i) samples[i] = given[i % given.size()];
  const AudioView view{samples, rate};
  HearOptions options;
  if (data[1] % 4 == 0) options.backing = Backing{{given, rate}, {}};
  Hearing hearing = hear(std::span(&timeline, 1), view, options);
  add_findings(hearing, std::span(&timeline, 1));
  if (!hearing_from_json(to_json(hearing))) std::abort();
  for (const NoteHearing& n : hearing.notes) {
    if (n.heard && !(n.heard->confidence >= 0 && n.heard->confidence <= 1)) std::abort();
  }
  LiveFollower follower(timeline, rate);
  follower.take(samples);
  if (follower.place().index >= static_cast<int>(timeline.notes.size())) std::abort();
  return 0;
}
