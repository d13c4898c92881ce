#pragma once

#include <map>
#include <string>
#include <string_view>

#include "abc_scanner.h"
#include "abc_voice.h"

namespace endpin::notation {

/// Where a music line's inline fields go, such as [K:G]; and the symbols that U: defined.
class AbcFieldTaker {
 public:
  virtual ~AbcFieldTaker() = default;
  /// The voice that the rest of the line belongs to.
  virtual AbcVoice& take_inline_field(char letter, std::string_view value) = 0;
  virtual std::string symbol(char letter) const = 0;
};

/// Reads one line of music into `voice`. (ABC 2.1, section 4)
class AbcMusic {
 public:
  AbcMusic(std::string_view line, AbcVoice& voice, AbcFieldTaker& fields, AbcShared& shared)
      : in_(line), voice_(&voice), fields_(fields), shared_(shared) {}
  void read();

 private:
  void read_token();
  bool read_note();
  bool read_rest();
  bool read_bracket();
  void read_chord(char closing);
  static bool is_old_chord(std::string_view name);
  void read_parenthesis();
  void read_tuplet();
  void read_graces();
  void read_quoted();
  void read_decoration(char closing);
  bool read_bar_line();
  std::vector<int> read_ending_numbers();
  Beats read_length();
  void read_broken();
  std::optional<int> read_accidental();

  AbcScanner in_;
  AbcVoice* voice_;
  AbcFieldTaker& fields_;
  AbcShared& shared_;
};

}  // namespace endpin::notation
