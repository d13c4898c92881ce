#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <stop_token>
#include <string>
#include <vector>

#include "endpin/app/score_input.h"
#include "endpin/base/audio.h"
#include "endpin/base/result.h"
#include "endpin/engraving/sheet.h"
#include "endpin/lesson/class_set.h"
#include "endpin/lesson_folder/lesson_folder.h"
#include "endpin/perform/tone_bank.h"
#include "endpin/words/language.h"

namespace endpin::app {

/// What a class set is to be made of.
struct ClassSetOrder {
  ScoreInput input;
  std::vector<InstrumentKind> instruments{all_instruments.begin(), all_instruments.end()};
  std::string step = "first-position";
  std::map<InstrumentKind, std::string> steps;  ///< of those who have reached another than `step`
  std::set<SetLineKind> left_out;               ///< lines that nobody wants; the tune stays
  std::vector<TeacherMarking> teacher;          ///< of the piece's notes; its bows hold for all
  std::optional<int> fifths;                    ///< another key of the mode; unset: the tune's
  std::optional<double> beats_per_minute;       ///< of the beat; unset: the score's tempo
  std::vector<HouseRule> rules;
  Language language = Language::en_us;
  Paper paper = Paper::a4;
  bool large_print = false;
  std::string date;  ///< "2026-03-01"
};

/// Fast (a tenth of a second): what can be shown before anything is drawn. Errors name the file.
Result<ClassSet> plan_class_set(const ClassSetOrder& order);

/// What the teacher should know, in the order's language: a line for each instrument that the key
/// strains, then the keys in which all have it in hand, at most four. Empty where nothing is
/// strained.
std::vector<std::string> remarks_on(const ClassSet& set, Language language);

/// `endpin.set/1`, docs/schema/set.schema.json.
std::string class_set_json(const ClassSetOrder& order, const ClassSet& set);

/// Writes the folder of the set that `plan_class_set(order)` planned: it appears whole or not at
/// all; the same order gives the same bytes. sheets.html and sheets.pdf (the teacher's score, then
/// a sheet for each instrument), score.musicxml, a MusicXML file for each line
/// ("violin-tune.musicxml"), all.opus, without-INSTRUMENT.opus for each, and set.json, which names
/// them. Once `stop` is asked for, it ends with an error as soon as what it is doing is done.
Result<void> write_class_set(const ClassSetOrder& order, const ClassSet& set,
                             const std::filesystem::path& folder, const Progress& progress = {},
                             const std::stop_token& stop = {});

/// Where an instrument's tones come from; they outlive the call.
using TonesOf = std::function<Result<ToneBank*>(const Instrument&)>;

/// What all.opus sounds like, or without-INSTRUMENT.opus: a bar counted in, then everybody's tune.
Result<Audio> class_set_sound(const ClassSetOrder& order, const ClassSet& set,
                              std::optional<InstrumentKind> without, const TonesOf& tones);

}  // namespace endpin::app
