#include "endpin/study/study.h"

#include "sections.h"

namespace endpin {
namespace {

std::string declared_mode(const Score& score, int part) {
  for (const Bar& bar : score.parts[static_cast<std::size_t>(part)].bars) {
    for (const Change& change : bar.changes) {
      if (change.kind == ChangeKind::key) return change.key.mode;
    }
  }
  return "";
}

std::optional<double> string_length(const Instrument& instrument, const StudyOptions& options) {
  if (options.string_length_mm) return options.string_length_mm;
  for (const Size& size : instrument.sizes) {
    if (size.name == options.size) return (size.shortest_mm + size.longest_mm) / 2;
  }
  return std::nullopt;
}

}  // namespace

Study study(const Score& score, int part, const Timeline& timeline, const Instrument& instrument,
            const StudyOptions& options) {
  using namespace study_internal;
  const std::vector<WrittenBar> bars = written_bars(timeline);
  Study s;
  s.title = score.title;
  s.instrument = instrument.name;
  s.bars = static_cast<int>(bars.size());
  s.notes = static_cast<int>(timeline.notes.size());
  s.warnings = score.warnings;
  s.key = find_key(timeline, declared_mode(score, part));
  s.metre = metre(timeline);
  s.values = values(score, part, timeline);
  s.counting = count_bars(timeline, options.counting);
  s.form = find_form(timeline);
  s.range = range(timeline, instrument);
  s.altered = altered_notes(timeline, instrument, string_length(instrument, options));
  s.twins = twin_bars(bars);
  s.step = step_demand(timeline, instrument, options);
  s.tempo = plan_tempo(timeline, options.step.empty() ? s.step.step : options.step);
  s.spots = spots(timeline, bars, instrument, options, s);
  return s;
}

}  // namespace endpin
