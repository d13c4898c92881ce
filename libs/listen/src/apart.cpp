#include "endpin/listen/apart.h"

#include <algorithm>

#include "excerpts.h"
#include "own_sound.h"

namespace endpin {
namespace {

using listen::Excerpts;
using listen::outside;
using listen::OwnSound;
using listen::with_air;

// Of the progress: the first item alone, the hearing that tells the items apart, the exercises.
constexpr double first_until = 0.35;
constexpr double mixed_until = 0.7;
constexpr double rest_from = 0.8;
constexpr int fewest_notes = 4;  // so many in a row are in many tunes (ours)
constexpr Seconds shortest(3);   // of something else that was played (ours)
constexpr Seconds air(1.5);      // around an exercise, for what rings on (ours)

std::vector<Span> stretches(const Hearing& mixed, int item) {
  std::vector<Span> found;
  for (const Segment& s : mixed.segments) {
    if (s.kind == SegmentKind::playing && s.item == item) found.push_back({s.from, s.to});
  }
  return found;
}

std::vector<Span> stretches_of_others(const Hearing& mixed, int item) {
  std::vector<Span> found;
  for (const Segment& s : mixed.segments) {
    if (s.kind == SegmentKind::playing && s.item != item) found.push_back({s.from, s.to});
  }
  return found;
}

// Most of its notes: a few of them occur in the piece as well.
bool was_played(const Hearing& mixed, int item) {
  int notes = 0, heard = 0;
  for (const NoteHearing& n : mixed.notes) {
    if (n.item != item) continue;
    ++notes;
    heard += n.state == NoteState::heard;
  }
  return heard > fewest_notes && heard * 3 >= notes * 2;
}

// Played through, and nothing else that is longer than a slip: there is no need to look for more.
bool explains_all(const Hearing& hearing) {
  if (hearing.status != HearingStatus::ok || !hearing.restarts.empty()) return false;
  return std::none_of(hearing.segments.begin(), hearing.segments.end(), [](const Segment& s) {
    const bool music = s.kind == SegmentKind::other || s.kind == SegmentKind::tuning;
    return music && s.to - s.from >= shortest;
  });
}

bool meet(const std::vector<Span>& parts, const Span& span) {
  return std::any_of(parts.begin(), parts.end(),
                     [&](const Span& part) { return part.from < span.to && span.from < part.to; });
}

class Apart {
 public:
  Apart(std::span<const Timeline> items, AudioView recording, const HearOptions& options,
        const FindingOptions& verdicts, const Progress& progress)
      : items_(items),
        without_(recording, options.backing),
        own_(without_.own()),
        options_{options, {}, nullptr},
        verdicts_(verdicts),
        progress_(progress) {}

  std::vector<ItemHearing> run() {
    const bool several = items_.size() > 1;
    Hearing first = alone(0, whole(), {}, part(0, several ? first_until : 1));
    if (!several || explains_all(first)) return {{0, std::move(first)}};
    const Hearing mixed = hear_own(items_, own_, options_, part(first_until, mixed_until));
    std::vector<Span> taken;
    std::vector<ItemHearing> others = heard_others(mixed, taken);
    if (!others.empty()) {
      first = alone(0, outside(taken, own_.length), mixed, part(rest_from, 1));
    }
    others.insert(others.begin(), {0, std::move(first)});
    return others;
  }

 private:
  Progress part(double from, double to) const {
    if (!progress_) return {};
    return [this, from, to](double done) { progress_(from + (to - from) * done); };
  }

  std::vector<Span> whole() const { return {{Seconds(0), own_.length}}; }

  // The exercises that were played; `taken` gets the times that they take up.
  std::vector<ItemHearing> heard_others(const Hearing& mixed, std::vector<Span>& taken) const {
    std::vector<ItemHearing> found;
    for (int item = 1; item < static_cast<int>(items_.size()); ++item) {
      if (!was_played(mixed, item)) continue;
      const auto own = stretches(mixed, item);
      const auto parts = with_air(own, air, stretches_of_others(mixed, item), own_.length);
      Hearing one = alone(item, parts, mixed, part(mixed_until, rest_from));
      if (one.status != HearingStatus::ok) continue;  // then it is the first item's to explain
      taken.insert(taken.end(), own.begin(), own.end());
      found.push_back({item, std::move(one)});
    }
    return found;
  }

  Hearing alone(int item, const std::vector<Span>& parts, const Hearing& mixed,
                const Progress& progress) const {
    const auto one = items_.subspan(static_cast<std::size_t>(item), 1);
    const bool all = parts.size() == 1 && parts[0].from == Seconds(0) && parts[0].to == own_.length;
    listen::StagedOptions options = options_;
    // The instrument is the same, and a drill has few notes to tell its tuning by.
    if (!all && !options.a4) options.a4 = mixed.reference.a4;
    const Excerpts excerpts(own_, all ? std::vector<Span>{} : parts);
    Hearing heard = hear_own(one, all ? own_ : excerpts.own(), options, progress);
    add_findings(heard, one, verdicts_);
    const auto backing = without_.backing_span();
    if (backing && meet(parts, *backing)) heard.backing_at = backing->from;
    if (all) return heard;
    heard.reference.a4_given = options_.a4.has_value();
    excerpts.put_back(heard);
    return heard;
  }

  std::span<const Timeline> items_;
  listen::WithoutBacking without_;
  OwnSound own_;
  listen::StagedOptions options_;
  const FindingOptions& verdicts_;
  const Progress& progress_;
};

}  // namespace

std::vector<ItemHearing> hear_apart(std::span<const Timeline> items, AudioView recording,
                                    const HearOptions& options, const FindingOptions& verdicts,
                                    const Progress& progress) {
  if (items.empty()) return {};
  return Apart(items, recording, options, verdicts, progress).run();
}

}  // namespace endpin
