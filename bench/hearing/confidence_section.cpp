#include <cmath>
#include <fstream>

#include <fmt/format.h>

#include "ensemble.h"
#include "evaluation.h"
#include "onset_errors.h"
#include "reliability.h"

namespace endpin::evaluation {
namespace {

using namespace measures;
using namespace simulator;

constexpr double right_within_s = 0.1;

/// How often an error is at most one and at most two of its standard errors; one share a take.
struct Coverage {
  std::vector<Share> one, two;
  void begin() { one.emplace_back(), two.emplace_back(); }
  void add(double error, double standard_error) {
    for (auto* shares : {&one, &two}) shares->back().cases += 1;
    one.back().hits += std::abs(error) <= standard_error ? 1 : 0;
    two.back().hits += std::abs(error) <= 2 * standard_error ? 1 : 0;
  }
};

struct Tally {
  std::vector<Claim> claims;
  Coverage onset, offset, pitch, a4;
};

/// A note is right where it was played, as written, within 100 ms of where it was heard.
bool is_right(const Performance& performance, const NoteHearing& note, const PlayedNote* played) {
  return played != nullptr && played->midi == note.midi &&
         performance.truth[static_cast<std::size_t>(note.index)].state == NoteState::heard &&
         std::abs((note.heard->onset - played->onset).value()) <= right_within_s;
}

void count(const Take& take, const Hearing& hearing, Tally& tally) {
  for (auto* c : {&tally.onset, &tally.offset, &tally.pitch, &tally.a4}) c->begin();
  for (const NoteHearing& n : hearing.notes) {
    if (!n.heard || n.state == NoteState::wrong) continue;
    const auto& truth = take.performance.truth[static_cast<std::size_t>(n.index)];
    const PlayedNote* played = truth.played ? &take.performance.notes[*truth.played] : nullptr;
    const bool right = is_right(take.performance, n, played);
    tally.claims.push_back({n.heard->confidence, right});
    if (!right || n.state != NoteState::heard) continue;
    const HeardNote& h = *n.heard;
    if (h.onset_uncertainty) {
      tally.onset.add((h.onset - played->onset).value(), h.onset_uncertainty->value());
    }
    if (h.offset && h.offset_uncertainty) {
      tally.offset.add((*h.offset - played->offset).value(), h.offset_uncertainty->value());
    }
    if (h.intonation && h.uncertainty && hearing.reference.a4) {
      const double at = interval(take.performance.a4, *hearing.reference.a4).value();
      tally.pitch.add(h.intonation->value() + at - played->cents, h.uncertainty->value());
    }
  }
  if (hearing.reference.a4 && hearing.reference.a4_uncertainty) {
    tally.a4.add(interval(take.performance.a4, *hearing.reference.a4).value(),
                 hearing.reference.a4_uncertainty->value());
  }
}

TakeOptions player(int i) {
  static const char* instruments[] = {"cello", "violin", "cello", "viola"};
  TakeOptions options;
  options.instrument = instruments[i % 4];
  options.player = i % 3 == 0 ? professional() : i % 3 == 1 ? good_student() : beginner();
  options.recorded = i % 2 == 0;
  return options;
}

/// Every other take has one of the faults in it: what was not played must not be claimed.
Take take_in(const Studio& studio, Condition condition, int i, std::uint64_t seed) {
  auto options = player(i);
  options.condition = condition;
  if (i % 2 == 1) {
    const auto fault = static_cast<Fault>((seed * 7 + static_cast<unsigned>(i)) % fault_kinds);
    if (auto take = studio.take_with(fault, options, seed)) return std::move(*take);
  }
  return studio.take(options, seed);
}

/// Three others together as loud as the student.
Take in_ensemble(const Studio& studio, int first_voice, int i, std::uint64_t seed) {
  Take take = studio.take(player(i), seed);
  auto others = companions(take.timeline, placed(truth_by_index(take.performance)),
                           take.audio.duration(), take.audio.rate, first_voice, seed);
  take.audio = among(std::move(take.audio), std::move(others), Decibels(0));
  return take;
}

void coverage_figures(const char* of, const Coverage& coverage, const Settings& settings,
                      Report& report) {
  const std::string on = "errors within their uncertainty";
  report.add(share_figure(on, fmt::format("{}: one (68.3 % were exact)", of), coverage.one,
                          "values", settings.seed));
  report.add(
      share_figure(on, fmt::format("{}: two (95.4 %)", of), coverage.two, "values", settings.seed));
}

void calibration(const std::vector<Claim>& claims, Report& report) {
  const std::string on = "confidence of a note (right: within 100 ms)";
  const auto bins = reliability(claims);
  const int n = static_cast<int>(claims.size());
  for (const auto& bin : bins) {
    if (bin.claims == 0) continue;
    report.add({on,
                fmt::format("claimed {:.3f} in {:.1f}-{:.1f}: was so", bin.mean_confidence,
                            bin.from, bin.to),
                bin.right, "%", std::nullopt, bin.claims, "notes"});
  }
  report.add(
      {on, "expected calibration error", calibration_error(bins), "%", std::nullopt, n, "notes"});
}

}  // namespace

/// What is claimed of notes beside what was so: ten conditions and an ensemble, three players,
/// every other take with a fault.
Report confidence_section(const Settings& settings, const Studio& studio) {
  Report report;
  Tally tally;
  const auto hear_and_count = [&](const Take& take) {
    const auto heard = hear_take(take.timeline, take.audio);
    append_rows(settings.rows, take, heard.hearing);
    count(take, heard.hearing, tally);
  };
  const int takes = settings.takes.value_or(settings.count(4, 40));
  const int first_voice = settings.fitting ? 20 : 120;
  for (int i = 0; i < takes; ++i) {
    const auto seed = settings.seed * 10000 + static_cast<unsigned>(i) * 100;
    unsigned k = 0;
    for (const auto condition : all_conditions) {
      hear_and_count(take_in(studio, condition, i, seed + ++k));
    }
    hear_and_count(in_ensemble(studio, first_voice, i, seed + ++k));
  }
  calibration(tally.claims, report);
  coverage_figures("onset", tally.onset, settings, report);
  coverage_figures("offset", tally.offset, settings, report);
  coverage_figures("pitch", tally.pitch, settings, report);
  coverage_figures("A4", tally.a4, settings, report);
  if (!settings.reliability.empty()) {
    std::ofstream(settings.reliability) << reliability_drawing(reliability(tally.claims));
  }
  return report;
}

}  // namespace endpin::evaluation
