#include <fstream>

#include <fmt/format.h>

#include "evaluation.h"

namespace endpin::evaluation {
namespace {

using simulator::PlayedNote;

constexpr const char* head =
    "take,index,written_midi,written_quarters,dotted,slurred,open,state,onset_s,offset_s,cents,"
    "uncertainty,ratio,gap_s,dip_db,fall_db,attack,level_db,confidence,true_state,true_joined,"
    "true_onset_s,true_offset_s,true_midi,true_cents,onset_doubt_s,offset_doubt_s,ratio_doubt,"
    "a4_hz,a4_doubt,condition,repeated,rested\n";

std::string value(const std::optional<double>& x) { return x ? fmt::format("{:.4f}", *x) : ""; }

template <typename Unit>
std::string value(const std::optional<Unit>& x) {
  return x ? fmt::format("{:.4f}", x->value()) : "";
}

std::string written_columns(const Timeline& timeline, std::size_t i) {
  const auto& n = timeline.notes[i];
  const bool dotted = n.articulation == Articulation::staccato;
  const bool slurred = i > 0 && n.slur_id && n.slur_id == timeline.notes[i - 1].slur_id;
  return fmt::format("{},{},{:.4f},{:d},{:d},{:d}", i, n.midi, n.duration.to_double(), dotted,
                     slurred, n.open || n.finger == 0);
}

std::string heard_columns(const NoteHearing& n) {
  if (!n.heard) return fmt::format("{},,,,,,,,,,,", name(n.state));
  const HeardNote& h = *n.heard;
  return fmt::format("{},{:.4f},{},{},{},{},{},{},{},{},{},{:.4f}", name(n.state), h.onset.value(),
                     value(h.offset), value(h.intonation), value(h.uncertainty),
                     value(h.sounding_ratio), value(h.gap), value(h.dip), value(h.fall),
                     value(h.attack), value(h.level), h.confidence);
}

std::string true_columns(const simulator::Performance& performance, std::size_t i) {
  const auto& truth = performance.truth[i];
  if (!truth.played) return fmt::format("{},,,,,", name(truth.state));
  const PlayedNote& p = performance.notes[*truth.played];
  return fmt::format("{},{:d},{:.4f},{:.4f},{},{:.1f}", name(truth.state), p.joined,
                     p.onset.value(), p.offset.value(), p.midi, p.cents);
}

std::string doubt_columns(const NoteHearing& n) {
  if (!n.heard) return ",,";
  const HeardNote& h = *n.heard;
  return fmt::format("{},{},{}", value(h.onset_uncertainty), value(h.offset_uncertainty),
                     value(h.sounding_ratio_uncertainty));
}

std::string boundary_columns(const Timeline& timeline, std::size_t i) {
  if (i == 0) return "0,1";
  const auto& n = timeline.notes[i];
  const auto& before = timeline.notes[i - 1];
  return fmt::format("{:d},{:d}", n.midi == before.midi, before.onset + before.duration < n.onset);
}

}  // namespace

void append_rows(const std::filesystem::path& file, const Take& take, const Hearing& hearing) {
  if (file.empty()) return;
  const bool begins = !std::filesystem::exists(file);
  std::ofstream out(file, std::ios::app);
  if (begins) out << head;
  for (std::size_t i = 0; i < take.timeline.notes.size(); ++i) {
    out << fmt::format("\"{}\",{},{},{},{},{},{},\"{}\",{}\n", take.name,
                       written_columns(take.timeline, i), heard_columns(hearing.notes[i]),
                       true_columns(take.performance, i), doubt_columns(hearing.notes[i]),
                       value(hearing.reference.a4), value(hearing.reference.a4_uncertainty),
                       name(take.condition), boundary_columns(take.timeline, i));
  }
}

}  // namespace endpin::evaluation
