#include <algorithm>
#include <list>
#include <map>

#include "abc_file.h"
#include "abc_music.h"
#include "abc_parts.h"
#include "clefs.h"
#include "finish.h"
#include "fmt/format.h"
#include "numbers.h"
#include "readers.h"

namespace endpin::notation {
namespace {

/// Reads one tune, line by line.
class AbcReader : public AbcFieldTaker {
 public:
  explicit AbcReader(Messages& messages) : messages_(messages), shared_{messages, grid_} {}

  Result<Score> read(const AbcTune& tune) {
    for (const AbcLine& line : tune.lines) {
      shared_.line = line.number;
      take_line(line.text);
      constexpr std::size_t most_bars = 200'000;
      if (shared_.bars > most_bars) {
        return messages_.error(line.number, fmt::format("more than {} bars", most_bars),
                               "Split the tune into smaller ones.");
      }
    }
    return finish_score(tune);
  }

  AbcVoice& take_inline_field(char letter, std::string_view value) override {
    take_field(letter, trimmed(value));
    return voice();
  }

  std::string symbol(char letter) const override {
    const auto own = symbols_.find(letter);
    return own == symbols_.end() ? std::string(default_symbol(letter)) : own->second;
  }

 private:
  void take_line(std::string_view text) {
    if (text.starts_with("%%")) return take_directive(trimmed(text.substr(2)));
    if (const auto field = abc_field(text)) {
      if (field->letter == 'w') return take_lyrics(field->value);
      verse_ = 0;
      return take_field(field->letter, field->value);
    }
    if (!in_body_) {
      if (!key_seen_ && text.find('|') == text.npos) return;  // free text
      start_body();
    }
    verse_ = 0;
    if (text.ends_with('\\')) text.remove_suffix(1);
    voice().start_line();
    AbcMusic(text, voice(), *this, shared_).read();
  }

  void take_directive(std::string_view text) {
    AbcScanner scanner(text);
    if (scanner.take("MIDI")) {
      scanner.skip_space();
      if (!scanner.take("program")) return;
      scanner.skip_space();
      auto number = scanner.number();
      scanner.skip_space();
      if (const auto second = scanner.number()) number = second;  // the channel came first
      if (number && *number < 128) program_ = *number + 1;
      if (in_body_ && program_) voice().set_program(*program_);
    } else if (scanner.take("propagate-accidentals")) {
      scanner.skip_space();
      set_reach(trimmed(scanner.rest()));
    }
  }

  void set_reach(std::string_view word) {
    if (word == "not") shared_.reach = AccidentalReach::none;
    if (word == "octave") shared_.reach = AccidentalReach::octave;
    if (word == "pitch") shared_.reach = AccidentalReach::all_octaves;
  }

  void take_field(char letter, std::string_view value) {
    switch (letter) {
      case 'T':
        if (title_.empty()) title_ = value;
        break;
      case 'C':
        if (composer_.empty()) composer_ = value;
        break;
      case 'M':
        take_metre(value);
        break;
      case 'L':
        take_unit(value);
        break;
      case 'Q':
        take_tempo(value);
        break;
      case 'K':
        take_key(value);
        break;
      case 'V':
        take_voice(value);
        break;
      case 'P':
        take_part(value);
        break;
      case 'U':
        take_symbol(value);
        break;
      case 'I':
        take_directive(value);
        break;
      case 'm':
        messages_.warn(shared_.line, "a macro (m:) is not carried out", "Write its notes out.");
        break;
      case 's':
        messages_.warn(shared_.line, "a symbol line (s:) is not read",
                       "Write its symbols before their notes.");
        break;
      default:
        break;  // background information
    }
  }

  void take_metre(std::string_view value) {
    const auto time = abc_metre(value);
    if (!time) {
      messages_.warn(shared_.line,
                     fmt::format("the metre \"{}\" cannot be read", value.substr(0, 20)),
                     "Write it as M:4/4; the metre before was kept.");
      return;
    }
    if (in_body_) {
      voice().set_time(*time);
      return;
    }
    time_ = *time;
  }

  void take_unit(std::string_view value) {
    const auto unit = abc_unit_length(value);
    if (!unit) {
      messages_.warn(shared_.line,
                     fmt::format("the note length \"{}\" cannot be read", value.substr(0, 20)),
                     "Write it as L:1/8; the length before was kept.");
      return;
    }
    if (in_body_) {
      voice().set_unit(*unit);
    } else {
      unit_ = *unit;
    }
  }

  void take_tempo(std::string_view value) {
    const Beats unit = in_body_ ? voice().unit() : unit_.value_or(default_unit_length(time_));
    AbcTempo tempo = abc_tempo(value, unit);
    if (!tempo.mark && tempo.words.empty()) return;
    Direction direction;
    direction.kind = tempo.mark ? DirectionKind::tempo : DirectionKind::words;
    direction.text = tempo.words;
    direction.metronome = tempo.mark;
    if (in_body_) {
      voice().add(direction);
    } else {
      tempo_ = direction;
    }
  }

  void take_key(std::string_view value) {
    const AbcKey key = abc_key(value);
    const AbcProperties properties = abc_properties(value);
    if (key.exotic) {
      messages_.warn(shared_.line, "a key signature with accidentals of its own",
                     "They sound, and are printed before the notes.");
    }
    if (in_body_) {
      if (key.given) voice().set_key(key);
      voice().set_properties(properties);
      return;
    }
    if (key.given || !key_seen_) key_ = key;
    if (properties.clef) properties_.clef = properties.clef;
    if (properties.octave) properties_.octave = properties.octave;
    if (properties.transpose) properties_.transpose = properties.transpose;
    key_seen_ = true;
  }

  void take_voice(std::string_view value) {
    const std::size_t end = std::min(value.find_first_of(" \t"), value.size());
    const std::string id(value.substr(0, end));
    const AbcProperties properties = abc_properties(value.substr(end));
    if (id.empty()) return;
    if (id == "*") return;
    if (!in_body_ && !key_seen_) {  // declared in the header
      declared_.emplace_back(id, properties);
      return;
    }
    start_body();
    current_ = &voice_named(id);
    const bool says = properties.clef || properties.octave || properties.transpose ||
                      !properties.name.empty() || !properties.short_name.empty();
    if (says) current_->set_properties(properties);
  }

  /// In the header the order of parts, in the body where one begins.
  void take_part(std::string_view value) {
    if (!in_body_) {
      if (key_seen_) start_body();
    }
    if (!in_body_) {
      order_ = value;
      return;
    }
    if (voice().in_bar()) voice().bar_line({});
    labels_.push_back({std::string(value), voice().bar_count()});
    Direction label;
    label.kind = DirectionKind::rehearsal;
    label.text = value;
    if (&voice() == &voices_.front()) voice().add(label);
  }

  void take_symbol(std::string_view value) {
    const std::size_t equals = value.find('=');
    if (value.empty() || equals == value.npos) return;
    std::string name(trimmed(value.substr(equals + 1)));
    std::erase_if(name, [](char c) { return c == '!' || c == '+'; });
    if (name == "nil" || name == "none") name.clear();
    if (name.starts_with('"')) name.clear();
    symbols_[value[0]] = name;
  }

  void take_lyrics(std::string_view value) {
    constexpr int most_verses = 16;
    if (in_body_ && verse_ < most_verses) voice().lyrics(value, ++verse_);
  }

  void start_body() {
    if (in_body_) return;
    in_body_ = true;
    if (!key_seen_) {
      messages_.warn(shared_.line, "the tune has no key (K:)", "C major was taken.");
    }
    for (const auto& [id, properties] : declared_) voice_named(id).set_properties(properties);
    if (tempo_) voice().add(*tempo_);
  }

  AbcVoice& voice() {
    start_body();
    if (current_ == nullptr) {
      current_ = voices_.empty() ? &voice_named("1") : &voices_.front();
    }
    return *current_;
  }

  AbcVoice& voice_named(const std::string& id) {
    const auto known = by_id_.find(id);
    if (known != by_id_.end()) return *known->second;
    constexpr std::size_t most = 64;
    if (voices_.size() >= most) return voices_.front();
    AbcVoice& made = voices_.emplace_back(id, shared_);
    by_id_[id] = &made;
    made.set_key(key_);
    made.set_time(time_);
    made.set_unit(unit_.value_or(default_unit_length(time_)));
    made.set_properties(properties_);
    if (program_) made.set_program(*program_);
    return made;
  }

  Result<Score> finish_score(const AbcTune& tune) {
    const bool any = std::any_of(voices_.begin(), voices_.end(),
                                 [](const AbcVoice& v) { return v.has_notes(); });
    Score score;
    for (AbcVoice& v : voices_) score.parts.push_back(v.finish());
    std::erase_if(score.parts, [](const Part& part) { return part.bars.empty(); });
    if (!any || score.parts.empty()) {
      return messages_.error(tune.line, "the tune has no notes",
                             "Give a tune with notes after K:.");
    }
    score.title = title_;
    score.composer = composer_;
    write_out_parts(score, order_, labels_, messages_);
    settle_clefs(score);
    number_abc_bars(score);
    if (grid_.rounded()) {
      messages_.warn(std::string(), "some lengths are finer than can be counted",
                     "They were rounded.");
    }
    finish(score, messages_);
    return score;
  }

  Messages& messages_;
  Grid grid_;
  AbcShared shared_;
  std::string title_;
  std::string composer_;
  TimeSignature time_;
  std::optional<Beats> unit_;
  std::optional<Direction> tempo_;
  std::optional<int> program_;
  AbcKey key_;
  bool key_seen_ = false;
  AbcProperties properties_;
  std::string order_;  // of parts
  std::vector<PartLabel> labels_;
  std::vector<std::pair<std::string, AbcProperties>> declared_;
  std::map<char, std::string> symbols_;
  bool in_body_ = false;
  int verse_ = 0;
  std::list<AbcVoice> voices_;
  std::map<std::string, AbcVoice*> by_id_;
  AbcVoice* current_ = nullptr;
};

}  // namespace

Result<Score> read_abc(std::string_view utf8, std::optional<int> tune, Messages& messages) {
  const auto found = find_tune(utf8, tune, messages);
  if (!found) return Unexpected(found.error());
  return AbcReader(messages).read(*found);
}

}  // namespace endpin::notation
