#include <algorithm>
#include <cmath>
#include <ctime>
#include <span>

#include <fmt/format.h>

#include "endpin/base/pitch.h"
#include "endpin/listen/findings.h"
#include "endpin/listen/listen.h"

#include "evaluation.h"
#include "heartbeat.h"

namespace endpin::evaluation {
namespace {

Cost cost;

double cpu_seconds() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

double reference_cents(const Hearing& hearing) {
  return hearing.reference.a4 ? interval(standard_a4, *hearing.reference.a4).value() : 0;
}

}  // namespace

Heard hear_take(const Timeline& timeline, const Audio& audio) {
  const double begin = cpu_seconds();
  const AudioView view{audio.samples, static_cast<double>(audio.rate)};
  Heard heard;
  heard.hearing = hear(std::span(&timeline, 1), view);
  add_findings(heard.hearing, std::span(&timeline, 1));
  heard.cpu_s = cpu_seconds() - begin;
  cost.sound_s += audio.duration().value();
  cost.cpu_s += heard.cpu_s;
  ++cost.takes;
  beat();
  return heard;
}

Cost cost_so_far() { return cost; }

std::vector<measures::SoundedNote> true_notes(const simulator::Performance& performance) {
  const double a4 = interval(standard_a4, performance.a4).value();
  std::vector<measures::SoundedNote> notes;
  for (const auto& n : performance.notes) {
    notes.push_back({n.onset, n.offset, n.midi + (n.cents + a4) / 100});
  }
  return notes;
}

std::vector<measures::SoundedNote> heard_notes(const Hearing& hearing) {
  const double a4 = reference_cents(hearing);
  std::vector<measures::SoundedNote> notes;
  const auto add = [&](Seconds onset, Seconds offset, double midi) {
    notes.push_back({onset, offset, midi});
  };
  for (const auto& n : hearing.notes) {
    for (const auto& attempt : n.attempts) add(attempt.from, attempt.to, n.midi + a4 / 100);
    if (!n.heard || (n.state != NoteState::heard && n.state != NoteState::wrong)) continue;
    const double cents = n.heard->intonation.value_or(Cents(0)).value() + a4;
    add(n.heard->onset, n.heard->offset.value_or(n.heard->onset), n.heard->midi + cents / 100);
  }
  for (const auto& n : hearing.extra) add(n.onset, n.offset, n.midi + a4 / 100);
  std::sort(notes.begin(), notes.end(),
            [](const auto& a, const auto& b) { return a.onset < b.onset; });
  return notes;
}

measures::Share f_share(const std::vector<measures::SoundedNote>& truth,
                        const std::vector<measures::SoundedNote>& found,
                        const measures::MatchOptions& options) {
  const auto c = measures::count_matches(truth, found, options);
  return {2.0 * c.matched, 1.0 * c.truth + c.found};
}

void count_matched(const Take& take, const Hearing& hearing, MatchTally& tally) {
  const auto truth = true_notes(take.performance);
  const auto found = heard_notes(hearing);
  measures::MatchOptions options;
  tally.onsets.push_back(f_share(truth, found, options));
  for (const auto& [t, f] : measures::match_notes(truth, found, options)) {
    tally.cents.push_back(100 * std::abs(truth[t].midi - found[f].midi));
  }
  options.with_offsets = true;
  tally.with_offsets.push_back(f_share(truth, found, options));
}

std::vector<measures::TrueNote> truth_by_index(const simulator::Performance& performance) {
  std::vector<measures::TrueNote> truth;
  for (std::size_t i = 0; i < performance.truth.size(); ++i) {
    const auto& t = performance.truth[i];
    if (t.state != NoteState::heard) continue;
    const auto& played = performance.notes[*t.played];
    truth.push_back({{static_cast<int>(i)}, played.midi, played.onset, played.offset, true});
  }
  return truth;
}

std::vector<measures::TrueFinding> true_findings(
    const std::vector<simulator::ExpectedFinding>& expected,
    const simulator::Performance& performance) {
  std::vector<measures::TrueFinding> out;
  for (const auto& e : expected) {
    measures::TrueFinding finding{e.kind, e.notes, performance.length, Seconds(0)};
    const auto span = [&](int widen) {  // by the notes around, where it was none that sounded
      for (const auto& note : performance.notes) {
        const bool about = std::any_of(e.notes.begin(), e.notes.end(),
                                       [&](int n) { return std::abs(n - note.index) <= widen; });
        if (!about || note.index < 0) continue;
        finding.from = std::min(finding.from, note.onset);
        finding.to = std::max(finding.to, note.offset);
      }
    };
    span(0);
    if (finding.to < finding.from) span(1);
    out.push_back(std::move(finding));
  }
  return out;
}

measures::Share accused(const Timeline& timeline, const simulator::Performance& performance,
                        const Hearing& hearing) {
  measures::Share share;
  for (std::size_t i = 0; i < timeline.notes.size(); ++i) {
    if (performance.truth[i].state != NoteState::heard) continue;
    const auto state = hearing.notes[i].state;
    share.cases += 1;
    share.hits += state == NoteState::wrong || state == NoteState::missed ? 1 : 0;
  }
  return share;
}

std::string in_words(const Finding& f) {
  return fmt::format("{} [{}] {:.2f} at {:.2f}-{:.2f} s “{}”", name(f.kind),
                     fmt::join(f.notes, " "), f.confidence, f.from.value(), f.to.value(), f.says);
}
std::string in_words(const measures::TrueFinding& f) {
  return fmt::format("{} [{}] at {:.2f}-{:.2f} s", name(f.kind), fmt::join(f.notes, " "),
                     f.from.value(), f.to.value());
}

std::string notes_in_words(const Timeline& timeline, const Hearing& hearing, int from, int to) {
  std::string out;
  const int last = std::min(to, static_cast<int>(timeline.notes.size()) - 1);
  for (int i = std::max(from, 0); i <= last; ++i) {
    const auto& n = hearing.notes[static_cast<std::size_t>(i)];
    out += fmt::format(" {}:{}={}", i, timeline.notes[static_cast<std::size_t>(i)].spelled.text(),
                       name(n.state));
    if (!n.heard) continue;
    out += fmt::format("(m{} {:.2f}", n.heard->midi, n.heard->onset.value());
    if (n.heard->offset) out += fmt::format("-{:.2f}", n.heard->offset->value());
    if (n.heard->intonation) out += fmt::format(" {:+.0f}c", n.heard->intonation->value());
    if (n.heard->gap) out += fmt::format(" gap{:.2f}", n.heard->gap->value());
    if (n.heard->dip) out += fmt::format(" dip{:.0f}", n.heard->dip->value());
    if (n.heard->fall) out += fmt::format(" fall{:.0f}", n.heard->fall->value());
    if (n.heard->attack) out += fmt::format(" attack{:.1f}", *n.heard->attack);
    out += fmt::format(" p{:.2f})", n.heard->confidence);
  }
  return out;
}

}  // namespace endpin::evaluation
