#pragma once

#include <deque>
#include <string_view>
#include <utility>

#include "midi_file.h"

namespace endpin::notation {

/// Reads the events of one track chunk.
class MidiTrackReader {
 public:
  MidiTrackReader(std::string_view bytes, std::size_t most_notes)
      : bytes_(bytes), most_notes_(most_notes) {}
  MidiTrack read();
  bool damaged() const { return damaged_; }

 private:
  bool read_event();
  bool read_meta();
  bool read_system(int status);
  bool read_channel(int status);
  void take_meta(int type, std::string_view data);
  void note_on(int channel, int pitch);
  void note_off(int channel, int pitch);
  int byte() { return at_ < bytes_.size() ? static_cast<unsigned char>(bytes_[at_++]) : -1; }

  std::string_view bytes_;
  std::size_t most_notes_;
  std::size_t at_ = 0;
  Ticks now_ = 0;
  int running_status_ = 0;
  bool over_ = false;
  bool damaged_ = false;
  std::map<std::pair<int, int>, std::deque<Ticks>> sounding_;  // by channel and pitch
  MidiTrack track_;
};

}  // namespace endpin::notation
