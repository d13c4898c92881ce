#include "endpin/lesson/heard.h"

#include "endpin/lesson/places.h"

namespace endpin {
namespace {

// The other bar whose rhythm was played, where the finding names it.
std::optional<int> twin_named(const Finding& finding, const Part& part) {
  const auto named = finding.message_args.find("twin");
  if (named == finding.message_args.end()) return std::nullopt;
  if (const auto* text = std::get_if<std::string>(&named->second)) {
    return bar_numbered(part, *text);
  }
  const auto* list = std::get_if<std::vector<std::string>>(&named->second);
  return list != nullptr && !list->empty() ? bar_numbered(part, list->front()) : std::nullopt;
}

}  // namespace

std::optional<Trouble> trouble_of(FindingKind kind) {
  switch (kind) {
    case FindingKind::missed:
    case FindingKind::wrong_note:
    case FindingKind::extra:
      return Trouble::notes;
    case FindingKind::missed_accidental:
      return Trouble::reach;
    case FindingKind::flat:
    case FindingKind::sharp:
      return Trouble::intonation;
    case FindingKind::early:
    case FindingKind::late:
    case FindingKind::uneven:
      return Trouble::rhythm;
    case FindingKind::other_bar_rhythm:
      return Trouble::twin;
    case FindingKind::rushing:
    case FindingKind::dragging:
    case FindingKind::restart:
    case FindingKind::hesitation:
      return Trouble::other;
    case FindingKind::short_held:
      return Trouble::long_note;
    case FindingKind::not_separated:
      return Trouble::separation;
    case FindingKind::gap_in_slur:
    case FindingKind::slur_not_played:
      return Trouble::slur;
    default:
      return std::nullopt;
  }
}

std::vector<DrillPlace> places_heard(const std::vector<Finding>& findings, const Part& part) {
  std::vector<DrillPlace> places;
  for (const Finding& finding : findings) {
    const auto trouble = trouble_of(finding.kind);
    if (!trouble) continue;
    for (const std::string& number : finding.bars) {
      const auto bar = bar_numbered(part, number);
      if (!bar) continue;
      DrillPlace place;
      place.trouble = *trouble;
      place.bar = *bar;
      place.heard = finding.kind;
      if (place.trouble == Trouble::twin) {
        place.twin = twin_named(finding, part);
        if (place.twin == place.bar) place.twin.reset();
        if (!place.twin) place.trouble = Trouble::rhythm;
      }
      add_place(places, place);
    }
  }
  return places;
}

std::vector<DrillPlace> joined(std::vector<DrillPlace> first,
                               const std::vector<DrillPlace>& second) {
  for (const DrillPlace& place : second) add_place(first, place);
  return first;
}

}  // namespace endpin
