#include "abc_music.h"

#include <algorithm>

#include "fmt/format.h"
#include "navigation_words.h"

namespace endpin::notation {
namespace {

constexpr std::string_view note_letters = "CDEFGABcdefgab";
constexpr std::string_view bar_characters = "|:[]";

bool is_note_letter(char c) { return c != '\0' && note_letters.find(c) != note_letters.npos; }

bool is_compound(const TimeSignature& time) {
  return !time.senza_misura && time.beats % 3 == 0 && time.beats > 3;
}

/// How many notes' time p notes take where the tuplet does not say (ABC 2.1, section 4.13).
int usual_time_of(int p, const TimeSignature& time) {
  switch (p) {
    case 2:
    case 4:
    case 8:
      return 3;
    case 3:
    case 6:
      return 2;
    default:
      return is_compound(time) ? 3 : 2;
  }
}

}  // namespace

void AbcMusic::read() {
  while (!in_.at_end()) read_token();
}

void AbcMusic::read_token() {
  const char c = in_.peek();
  if (c == '[' && read_bracket()) return;
  if (bar_characters.find(c) != bar_characters.npos || (c == '.' && in_.peek(1) == '|')) {
    if (read_bar_line()) return;
  }
  if (read_note() || read_rest()) return;
  in_.next();
  switch (c) {
    case '(':
      return read_parenthesis();
    case ')':
      return voice_->close_slur();
    case '-':
      return voice_->tie();
    case '{':
      return read_graces();
    case '"':
      return read_quoted();
    case '!':
    case '+':
      return read_decoration(c);
    case '>':
    case '<':
      in_.go_to(in_.place() - 1);
      return read_broken();
    case '&':
      return voice_->overlay();
    case 'y':
      read_length();
      return;
    case '.':
      if (in_.peek() == '(' || in_.peek() == '-') return;  // dotted slur or tie
      break;
    default:
      break;
  }
  if (const std::string symbol = fields_.symbol(c); !symbol.empty()) voice_->decorate(symbol);
}

std::optional<int> AbcMusic::read_accidental() {
  if (in_.take('=')) return 0;
  int alter = 0;
  const char sign = in_.peek();
  if (sign != '^' && sign != '_') return std::nullopt;
  while (in_.peek() == sign) {
    in_.next();
    alter += sign == '^' ? 1 : -1;
  }
  // Microtones, such as ^/ and ^3/2, are taken to the semitone.
  const std::size_t place = in_.place();
  const bool fraction = (in_.number().has_value() || in_.peek() == '/') && in_.take('/');
  if (fraction) {
    in_.number();
  } else {
    in_.go_to(place);
  }
  return std::clamp(alter, -2, 2);
}

bool AbcMusic::read_note() {
  const std::size_t start = in_.place();
  const auto accidental = read_accidental();
  const char letter = in_.peek();
  if (!is_note_letter(letter)) {
    in_.go_to(start);
    if (accidental) in_.next();
    return accidental.has_value();
  }
  in_.next();
  const bool low = letter < 'a';
  SpelledPitch pitch;
  pitch.step = static_cast<Step>(
      std::string_view("CDEFGAB").find(static_cast<char>(low ? letter : letter - 'a' + 'A')));
  pitch.octave = low ? 4 : 5;
  for (char mark = in_.peek(); mark == '\'' || mark == ','; mark = in_.peek()) {
    in_.next();
    pitch.octave = std::clamp(pitch.octave + (mark == '\'' ? 1 : -1), -1, 9);
  }
  voice_->note(pitch, accidental, voice_->unit() * read_length());
  if (voice_->in_chord()) {
    if (in_.take('-')) voice_->tie();
    return true;
  }
  read_broken();
  return true;
}

bool AbcMusic::read_rest() {
  const char c = in_.peek();
  if (c == 'z' || c == 'x') {
    in_.next();
    voice_->rest(voice_->unit() * read_length());
    read_broken();
    return true;
  }
  if (c != 'Z' && c != 'X') return false;
  in_.next();
  voice_->bar_rests(in_.number().value_or(1));
  return true;
}

/// A multiplier: "3", "3/2", "/", "//", "/4" (ABC 2.1, section 4.3).
Beats AbcMusic::read_length() {
  constexpr int most = 256;
  int numerator = std::clamp(in_.number().value_or(1), 1, most);
  int denominator = 1;
  while (in_.take('/')) {
    const auto number = in_.number();
    denominator = std::min(denominator * std::clamp(number.value_or(2), 1, most), 1024);
  }
  return Beats(numerator, denominator);
}

void AbcMusic::read_broken() {
  const std::size_t start = in_.place();
  in_.skip_space();
  const char mark = in_.peek();
  if (mark != '>' && mark != '<') return in_.go_to(start);
  int count = 0;
  while (in_.take(mark)) ++count;
  voice_->broken(mark == '>' ? std::min(count, 3) : -std::min(count, 3));
}

void AbcMusic::read_parenthesis() {
  if (in_.at_digit()) return read_tuplet();
  voice_->open_slur();
}

void AbcMusic::read_tuplet() {
  constexpr int most = 64;
  const int p = std::clamp(in_.number().value_or(3), 1, most);
  int q = usual_time_of(p, voice_->time());
  int r = p;
  if (in_.take(':')) {
    q = std::clamp(in_.number().value_or(q), 1, most);
    if (in_.take(':')) r = std::clamp(in_.number().value_or(p), 1, most);
  }
  voice_->start_tuplet(p, q, r);
}

void AbcMusic::read_graces() {
  voice_->start_graces(in_.take('/'));
  while (!in_.at_end() && in_.peek() != '}') {
    if (!read_note()) in_.next();
  }
  in_.take('}');
  voice_->end_graces();
}

/// A chord symbol, or an annotation where a sign of place comes first (ABC 2.1, section 4.19).
void AbcMusic::read_quoted() {
  std::string_view text = in_.until('"');
  const bool annotation = !text.empty() && std::string_view("^_<>@").find(text[0]) != text.npos;
  if (!annotation) return;
  text.remove_prefix(1);
  Direction direction;
  direction.text = text;
  const PluckWord word = pluck_word(text);
  if (word == PluckWord::pizzicato) direction.kind = DirectionKind::pizzicato;
  if (word == PluckWord::arco) direction.kind = DirectionKind::arco;
  if (!text.empty()) voice_->add(std::move(direction));
}

/// Files from before 2000 write chords as "+CEG+"; "+f+" and "+ff+" are dynamics.
bool AbcMusic::is_old_chord(std::string_view name) {
  const auto notes =
      std::count_if(name.begin(), name.end(), [](unsigned char c) { return std::isalpha(c) != 0; });
  return notes >= 2 && name.find_first_not_of("ABCDEFGabcdefg^_=,'0123456789/") == name.npos &&
         name.find_first_not_of('f') != name.npos;
}

/// A "!" without its fellow was a line break in old files.
void AbcMusic::read_decoration(char closing) {
  const std::size_t start = in_.place();
  if (!in_.has_ahead(closing)) return;
  const std::string_view name = in_.until(closing);
  constexpr std::size_t longest = 24;
  if (name.size() > longest || name.find('|') != name.npos || name.find(' ') != name.npos) {
    in_.go_to(start);
    return;
  }
  if (closing == '+' && is_old_chord(name)) {
    in_.go_to(start);
    return read_chord('+');
  }
  if (!name.empty()) voice_->decorate(name);
}

/// "[K:G]", "[CEG]", or a bar line that begins with a bracket: then false.
bool AbcMusic::read_bracket() {
  const char first = in_.peek(1);
  if (std::isalpha(static_cast<unsigned char>(first)) && in_.peek(2) == ':') {
    in_.next();
    in_.next();
    in_.next();
    voice_ = &fields_.take_inline_field(first, in_.until(']'));
    return true;
  }
  if (first == '|' || first == ']' || first == '"' || first == ':' || first == '\0' ||
      std::isdigit(static_cast<unsigned char>(first))) {
    return false;
  }
  in_.next();
  read_chord(']');
  return true;
}

void AbcMusic::read_chord(char closing) {
  voice_->start_chord();
  while (!in_.at_end() && in_.peek() != closing) {
    if (in_.peek() == '|') break;  // the bracket was no chord's
    if (read_note()) continue;
    const char c = in_.next();
    if (c == '!' || c == '+') {
      read_decoration(c);
    } else if (c == '(') {
      voice_->open_slur();
    } else if (const std::string symbol = fields_.symbol(c); !symbol.empty()) {
      voice_->decorate(symbol);
    }
  }
  in_.take(closing);
  voice_->end_chord(read_length());
  read_broken();
}

std::vector<int> AbcMusic::read_ending_numbers() {
  std::vector<int> numbers;
  if (in_.take('"')) {  // an ending named in words
    in_.until('"');
    return {1};
  }
  constexpr int most = 100;
  while (in_.at_digit()) {
    const int number = std::clamp(in_.number().value_or(1), 1, most);
    if (in_.take('-')) {
      const int last = std::clamp(in_.number().value_or(number), number, most);
      for (int n = number; n <= last; ++n) numbers.push_back(n);
    } else {
      numbers.push_back(number);
    }
    in_.take('.');
    if (in_.peek() == ',' && std::isdigit(static_cast<unsigned char>(in_.peek(1)))) in_.next();
  }
  return numbers;
}

bool AbcMusic::read_bar_line() {
  AbcBarLine line;
  const std::size_t start = in_.place();
  const bool dotted = in_.take('.');
  int colons_before = 0;
  while (in_.take(':')) ++colons_before;
  bool bracket_before = false;
  bool bracket_after = false;
  int bars = 0;
  if (in_.peek() == '[' && (in_.peek(1) == '|' || in_.peek(1) == ']'))
    bracket_before = in_.take('[');
  while (in_.take('|')) ++bars;
  if (in_.peek() == ']' && (bars > 0 || bracket_before)) bracket_after = in_.take(']');
  if (bars > 0 && in_.peek() == '[' && in_.peek(1) == '|') {
    in_.next();
    while (in_.take('|')) ++bars;
  }
  int colons_after = 0;
  while (in_.take(':')) ++colons_after;
  const bool double_repeat = bars == 0 && colons_before >= 2;  // "::"
  const bool alone = bars == 0 && !bracket_before && !double_repeat;
  const std::size_t after = in_.place();
  in_.skip_space();  // "| [1" is written as well
  if (in_.peek() != '[') in_.go_to(after);
  if (in_.peek() == '[' &&
      (std::isdigit(static_cast<unsigned char>(in_.peek(1))) || in_.peek(1) == '"')) {
    in_.next();
    line.ending = read_ending_numbers();
  } else if (bars > 0 && in_.at_digit()) {
    line.ending = read_ending_numbers();
  } else if (in_.go_to(after), alone) {
    in_.go_to(start + 1);
    return true;  // a stray sign
  }
  constexpr int most_repeats = 99;
  line.repeats_end = std::min(double_repeat ? 1 : colons_before, most_repeats);
  line.repeat_starts = colons_after > 0 || double_repeat;
  line.closes_ending = bars > 1 || bracket_after || bracket_before;
  line.style = dotted          ? BarLine::dotted
               : bracket_after ? BarLine::final_line
               : bars > 1      ? BarLine::double_line
                               : BarLine::regular;
  if (bracket_before && bracket_after && bars <= 1) line.style = BarLine::none;
  const bool closes = bars > 0 || bracket_before || double_repeat;
  closes ? voice_->bar_line(line) : voice_->open_ending(line.ending);
  return true;
}

}  // namespace endpin::notation
