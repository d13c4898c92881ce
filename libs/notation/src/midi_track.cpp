#include "midi_track.h"

#include "encoding.h"
#include "numbers.h"

namespace endpin::notation {
namespace {

unsigned at(std::string_view data, std::size_t i) { return static_cast<unsigned char>(data[i]); }

// Far beyond any music, and small enough for exact sums: 2^40 ticks.
constexpr Ticks latest = Ticks{1} << 40;

}  // namespace

std::optional<std::uint32_t> variable_length(std::string_view bytes, std::size_t& at) {
  std::uint32_t value = 0;
  constexpr int longest = 4;
  for (int i = 0; i < longest && at < bytes.size(); ++i) {
    const auto byte = static_cast<unsigned char>(bytes[at++]);
    value = value << 7 | (byte & 0x7FU);
    if ((byte & 0x80U) == 0) return value;
  }
  return std::nullopt;
}

MidiTrack MidiTrackReader::read() {
  while (!over_ && !damaged_ && at_ < bytes_.size()) damaged_ = !read_event();
  for (auto& [key, starts] : sounding_) {
    while (!starts.empty()) note_off(key.first, key.second);
  }
  return std::move(track_);
}

bool MidiTrackReader::read_event() {
  const auto delta = variable_length(bytes_, at_);
  if (!delta) return false;
  now_ += *delta;
  if (now_ > latest) return false;
  const int first = byte();
  if (first < 0) return false;
  if (first == 0xFF) return read_meta();
  if (first >= 0xF0) return read_system(first);
  if (first >= 0x80) return running_status_ = first, read_channel(first);
  if (running_status_ == 0) return false;  // data without a status before it
  --at_;
  return read_channel(running_status_);
}

bool MidiTrackReader::read_meta() {
  running_status_ = 0;
  const int type = byte();
  const auto length = variable_length(bytes_, at_);
  if (type < 0 || !length || *length > bytes_.size() - at_) return false;
  take_meta(type, bytes_.substr(at_, *length));
  at_ += *length;
  return true;
}

bool MidiTrackReader::read_system(int status) {
  running_status_ = 0;
  if (status != 0xF0 && status != 0xF7) return true;  // one byte; not legal in a file
  const auto length = variable_length(bytes_, at_);
  if (!length || *length > bytes_.size() - at_) return false;
  at_ += *length;
  return true;
}

bool MidiTrackReader::read_channel(int status) {
  const int kind = status >> 4;
  const int channel = status & 0x0F;
  const int first = byte();
  const bool one_byte = kind == 0xC || kind == 0xD;
  const int second = one_byte ? 0 : byte();
  if (first < 0 || second < 0 || first > 127 || second > 127) return false;
  if (kind == 0x9 && second > 0) note_on(channel, first);
  if (kind == 0x8 || (kind == 0x9 && second == 0)) note_off(channel, first);
  if (kind == 0xC) track_.programs.emplace(channel, first + 1);
  return true;
}

void MidiTrackReader::note_on(int channel, int pitch) {
  std::deque<Ticks>& starts = sounding_[{channel, pitch}];
  // The same key struck again without having been let go of.
  if (!starts.empty()) note_off(channel, pitch);
  starts.push_back(now_);
}

void MidiTrackReader::note_off(int channel, int pitch) {
  std::deque<Ticks>& starts = sounding_[{channel, pitch}];
  if (starts.empty()) return;
  const Ticks start = starts.front();
  starts.pop_front();
  if (track_.notes.size() >= most_notes_) {
    damaged_ = true;
    return;
  }
  if (now_ > start) track_.notes.push_back({start, now_, pitch, channel});
}

void MidiTrackReader::take_meta(int type, std::string_view data) {
  constexpr int track_name = 0x03;
  constexpr int end_of_track = 0x2F;
  constexpr int set_tempo = 0x51;
  constexpr int time_signature = 0x58;
  constexpr int key_signature = 0x59;
  if (type == track_name && track_.name.empty()) track_.name = trimmed(to_utf8(data));
  if (type == end_of_track) over_ = true;
  if (type == set_tempo && data.size() >= 3) {
    const unsigned microseconds = at(data, 0) << 16 | at(data, 1) << 8 | at(data, 2);
    if (microseconds > 0) track_.tempi.push_back({now_, 60e6 / microseconds});
  }
  if (type == time_signature && data.size() >= 2 && at(data, 0) > 0 && at(data, 1) <= 6) {
    track_.metres.push_back({now_, static_cast<int>(at(data, 0)), 1 << at(data, 1)});
  }
  if (type == key_signature && data.size() >= 2) {
    const int fifths = static_cast<signed char>(data[0]);
    if (fifths >= -7 && fifths <= 7) track_.keys.push_back({now_, fifths, data[1] == 1});
  }
}

}  // namespace endpin::notation
