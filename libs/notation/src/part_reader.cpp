#include "part_reader.h"

#include <algorithm>
#include <numeric>

#include "fmt/format.h"

namespace endpin::notation {
namespace {

constexpr std::size_t most_notes = 1'000'000;  // in a score: ours, ten times a long symphony

bool is(pugi::xml_node node, std::string_view name) { return node.name() == name; }

}  // namespace

Result<void> PartReader::read_measure(pugi::xml_node measure) {
  Bar& bar = part_.bars.emplace_back();
  bar.number = attribute_of(measure, "number");
  bar.implicit = attribute_of(measure, "implicit") == "yes";
  bar.line = line(measure);
  bar.repeat_of_bars = repeat_of_bars_;
  cursor_ = reached_ = chord_onset_ = Beats(0);
  ending_stops_here_ = false;
  for (const pugi::xml_node child : measure.children()) {
    if (auto read = read_child(child); !read) return read;
  }
  end_bar_under_ending();
  this->bar().length = reached_;
  return {};
}

Result<void> PartReader::read_child(pugi::xml_node child) {
  if (is(child, "note")) return read_note_element(child);
  if (is(child, "backup")) return move(child, -1);
  if (is(child, "forward")) return move(child, 1);
  if (is(child, "attributes")) return read_attributes(child);
  if (is(child, "barline")) return read_barline(child);
  if (is(child, "direction")) read_direction(child);
  if (is(child, "sound")) {
    Direction here;
    here.at = cursor_;
    read_sound(child, here);
  }
  if (is(child, "print")) {
    const bool breaks =
        attribute_of(child, "new-system") == "yes" || attribute_of(child, "new-page") == "yes";
    bar().new_system = bar().new_system || breaks;
  }
  return {};
}

/// The <duration> in quarters; nullopt if there is none, or none above 0, or one too long.
std::optional<Beats> PartReader::duration_of(pugi::xml_node node) {
  const auto number = decimal_number(text_of(node, "duration"));
  if (!number || number->numerator <= 0) return std::nullopt;
  return state_.grid.admit(number->numerator, number->denominator * divisions_);
}

Result<void> PartReader::move(pugi::xml_node node, int direction) {
  const auto duration = duration_of(node);
  if (!duration) {
    const auto number = decimal_number(text_of(node, "duration"));
    if (number && number->numerator == 0) return {};
    return state_.messages.error(line(node),
                                 fmt::format("bar {}: a <{}> without a length that can be counted",
                                             bar().number, node.name()),
                                 "Correct its <duration>.");
  }
  cursor_ = direction > 0 ? cursor_ + *duration : cursor_ - *duration;
  if (cursor_ < Beats(0)) {
    state_.messages.warn(line(node),
                         fmt::format("bar {}: a <backup> leads before the bar", bar().number),
                         "Correct its <duration>; the bar's beginning was taken.");
    cursor_ = Beats(0);
  }
  if (cursor_ > Beats(Grid::longest)) {
    return state_.messages.error(
        line(node), fmt::format("bar {} is longer than {} quarters", bar().number, Grid::longest),
        "Correct the <forward>.");
  }
  reached_ = std::max(reached_, cursor_);
  return {};
}

int PartReader::voice_index(pugi::xml_node node) {
  const std::string_view name = text_of(node, "voice");
  if (name.empty()) return last_voice_ > 0 && node.child("chord") ? last_voice_ : 1;
  const auto known = std::find(voices_.begin(), voices_.end(), name);
  if (known != voices_.end()) return static_cast<int>(known - voices_.begin()) + 1;
  constexpr std::size_t most_voices = 256;
  if (voices_.size() >= most_voices) return 1;
  voices_.emplace_back(name);
  return static_cast<int>(voices_.size());
}

Result<void> PartReader::read_note_element(pugi::xml_node node) {
  if (++state_.notes > most_notes) {
    return state_.messages.error(line(node), fmt::format("more than {} notes", most_notes),
                                 "Split the score into smaller ones.");
  }
  if (voices_.empty() && text_of(node, "voice").empty()) voices_.emplace_back("1");
  Note note = read_note(node, state_);
  note.voice = last_voice_ = voice_index(node);
  if (!note.grace) {
    auto duration = duration_of(node);
    if (!duration && note.written) {
      duration = note.written->beats();
      state_.messages.warn(note.line,
                           fmt::format("bar {}: a note without a <duration> above 0", bar().number),
                           "Its written value was taken.");
    }
    if (!duration) {
      return state_.messages.error(
          note.line,
          fmt::format("bar {}: a note whose length cannot be known: its <duration> is "
                      "\"{}\" and it has no <type>",
                      bar().number, text_of(node, "duration").substr(0, 40)),
          "Give it a <duration> above 0.");
    }
    note.duration = *duration;
  }
  place(std::move(note), !node.child("chord").empty());
  if (cursor_ > Beats(Grid::longest)) {
    return state_.messages.error(
        line(node), fmt::format("bar {} is longer than {} quarters", bar().number, Grid::longest),
        "Correct the <duration> of its notes.");
  }
  return {};
}

void PartReader::place(Note note, bool in_chord) {
  note.in_chord = in_chord && !bar().notes.empty();
  if (!note.in_chord) chord_onset_ = cursor_;
  note.onset = chord_onset_;
  const Beats end = note.onset + note.duration;
  if (!note.in_chord) cursor_ = end;
  if (!note.cue) reached_ = std::max(reached_, end);
  bar().notes.push_back(std::move(note));
}

void PartReader::finish() {
  renumber_voices();
  resolve_coda_signs(part_, coda_signs_);
  apply_plucking();
  for (Bar& bar : part_.bars) {
    std::stable_sort(bar.notes.begin(), bar.notes.end(), [](const Note& a, const Note& b) {
      return a.onset != b.onset ? a.onset < b.onset : a.voice < b.voice;
    });
    std::stable_sort(bar.directions.begin(), bar.directions.end(),
                     [](const Direction& a, const Direction& b) { return a.at < b.at; });
    std::stable_sort(bar.changes.begin(), bar.changes.end(),
                     [](const Change& a, const Change& b) { return a.at < b.at; });
  }
}

/// Voices get 1, 2, … by the numbers that the file gives them, or in order of appearance.
void PartReader::renumber_voices() {
  std::vector<std::optional<std::int64_t>> numbers;
  for (const std::string& voice : voices_) numbers.push_back(whole_number(voice));
  std::vector<int> order(voices_.size());
  std::iota(order.begin(), order.end(), 0);
  if (std::all_of(numbers.begin(), numbers.end(), [](const auto& n) { return n.has_value(); })) {
    std::stable_sort(order.begin(), order.end(),
                     [&](int a, int b) { return *numbers[a] < *numbers[b]; });
  }
  std::vector<int> rank(voices_.size() + 1, 1);
  for (std::size_t i = 0; i < order.size(); ++i) rank[order[i] + 1] = static_cast<int>(i) + 1;
  for (Bar& bar : part_.bars) {
    for (Note& note : bar.notes) {
      if (note.voice < static_cast<int>(rank.size())) note.voice = rank[note.voice];
    }
  }
}

void PartReader::apply_plucking() {
  const auto place = [](const PluckChange& c) { return std::pair(c.bar, c.at); };
  std::stable_sort(plucking_.begin(), plucking_.end(),
                   [&](const auto& a, const auto& b) { return place(a) < place(b); });
  for (std::size_t i = 0; i < plucking_.size(); ++i) {
    if (!plucking_[i].plucked) continue;
    const bool last = i + 1 == plucking_.size();
    const std::size_t last_bar = last ? part_.bars.size() - 1 : plucking_[i + 1].bar;
    for (std::size_t b = plucking_[i].bar; b <= last_bar; ++b) {
      for (Note& note : part_.bars[b].notes) {
        const bool after = b > plucking_[i].bar || note.onset >= plucking_[i].at;
        const bool before = last || b < last_bar || note.onset < plucking_[i + 1].at;
        if (after && before && !note.is_rest()) note.plucked = true;
      }
    }
  }
}

}  // namespace endpin::notation
