#include "listen_abi.h"

#include <array>
#include <cstdlib>
#include <cstring>
#include <new>
#include <string>
#include <string_view>

#include "endpin/listen/findings.h"
#include "endpin/listen/listen.h"
#include "endpin/listen/live.h"
#include "endpin/timeline/timeline.h"

namespace {

using namespace endpin;

char* given(const std::string& text) {
  char* copy = static_cast<char*>(std::malloc(text.size() + 1));
  if (copy) std::memcpy(copy, text.c_str(), text.size() + 1);
  return copy;
}

// As a JSON string's inside: what a message may hold that JSON may not.
std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    out += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
  }
  return out;
}

std::string hear_as_json(const Timeline& timeline, AudioView recording, const HearOptions& options,
                         const FindingOptions& words) {
  Hearing hearing = hear(std::span(&timeline, 1), recording, options, endpin_progress);
  add_findings(hearing, std::span(&timeline, 1), words);
  return to_json(hearing);
}

struct Follower {
  LiveFollower live;
  std::array<double, endpin_place_values> place{};
};

}  // namespace

void* endpin_allocate(std::size_t bytes) { return std::malloc(bytes); }
void endpin_free(void* memory) { std::free(memory); }
std::int32_t endpin_listen_version() { return 2; }

char* endpin_hear(const char* timeline, std::size_t timeline_length, const float* samples,
                  std::size_t count, double rate_hz, double tempo_bpm, double a4_hz,
                  const char* step, std::size_t step_length, const char* language,
                  std::size_t language_length) {
  const auto parsed = timeline_from_json(std::string_view(timeline, timeline_length));
  if (!parsed) return given("{\"error\":\"" + escaped(parsed.error().line()) + "\"}");
  if (!is_hearable_rate(rate_hz)) {
    return given(R"({"error":"samples a second must be from 8000 to 192000"})");
  }
  HearOptions options;
  if (tempo_bpm > 0) options.tempo_hint = Bpm(tempo_bpm);
  if (a4_hz > 0) options.a4 = Hertz(a4_hz);
  FindingOptions words;
  words.step = std::string(step, step_length);
  words.language =
      find_language(std::string_view(language, language_length)).value_or(Language::en_us);
  words.tempo = options.tempo_hint;
  return given(hear_as_json(*parsed, {std::span(samples, count), rate_hz}, options, words));
}

void* endpin_follow_begin(const char* timeline, std::size_t timeline_length, double rate_hz,
                          double tempo_bpm, double a4_hz) {
  const auto parsed = timeline_from_json(std::string_view(timeline, timeline_length));
  if (!parsed || !is_hearable_rate(rate_hz)) return nullptr;
  LiveOptions options;
  if (tempo_bpm > 0) options.tempo_hint = Bpm(tempo_bpm);
  if (a4_hz > 0) options.a4 = Hertz(a4_hz);
  return new (std::nothrow) Follower{LiveFollower(*parsed, rate_hz, options)};
}

const double* endpin_follow(void* follower, const float* samples, std::size_t count) {
  auto& f = *static_cast<Follower*>(follower);
  f.live.take(std::span(samples, count));
  const LivePlace& p = f.live.place();
  f.place = {static_cast<double>(p.index),
             p.onset.value(),
             p.heard.value(),
             p.confidence,
             static_cast<double>(p.jumps),
             p.quarters_a_minute.value_or(0)};
  return f.place.data();
}

void endpin_follow_end(void* follower) { delete static_cast<Follower*>(follower); }
