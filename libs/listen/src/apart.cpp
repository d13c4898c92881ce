#include "endpin/listen/apart.h"

#include <numeric>

#include "excerpts.h"

namespace endpin {
namespace {

using listen::Excerpts;
using listen::outside;
using listen::with_air;

constexpr double mixed_until = 0.5;  // of the progress: the hearing that tells the items apart
constexpr int fewest_notes = 4;      // so many in a row are in many tunes (ours)
constexpr Seconds air(1.5);          // around an exercise, for what rings on (ours)

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

class Apart {
 public:
  Apart(std::span<const Timeline> items, AudioView recording, const HearOptions& options,
        const FindingOptions& verdicts, const Progress& progress)
      : items_(items),
        recording_(recording),
        options_(options),
        verdicts_(verdicts),
        progress_(progress) {}

  std::vector<ItemHearing> run() {
    const Seconds length = recording_.length();
    const bool several = items_.size() > 1;
    const Hearing mixed =
        several ? hear(items_, recording_, options_, part(0, mixed_until)) : Hearing{};
    std::vector<int> others(items_.size() - 1);
    std::iota(others.begin(), others.end(), 1);
    std::erase_if(others, [&](int item) { return !was_played(mixed, item); });
    double done = several ? mixed_until : 0;
    const double share = (1 - done) / static_cast<double>(others.size() + 1);
    std::vector<ItemHearing> found(1);
    std::vector<Span> taken;
    for (const int item : others) {
      const auto own = stretches(mixed, item);
      const auto parts = with_air(own, air, stretches_of_others(mixed, item), length);
      Hearing one = alone(item, parts, mixed, part(done, done + share));
      done += share;
      if (one.status != HearingStatus::ok) continue;  // then it is the first item's to explain
      taken.insert(taken.end(), own.begin(), own.end());
      found.push_back({item, std::move(one)});
    }
    found[0].hearing = alone(0, outside(taken, length), mixed, part(done, 1));
    return found;
  }

 private:
  Progress part(double from, double to) const {
    if (!progress_) return {};
    return [this, from, to](double done) { progress_(from + (to - from) * done); };
  }

  Hearing alone(int item, const std::vector<Span>& parts, const Hearing& mixed,
                const Progress& progress) const {
    const auto one = items_.subspan(static_cast<std::size_t>(item), 1);
    const bool whole =
        parts.size() == 1 && parts[0].from == Seconds(0) && parts[0].to == recording_.length();
    HearOptions options = options_;
    // The instrument is the same, and a drill has few notes to tell its tuning by.
    if (!whole && !options.a4) options.a4 = mixed.reference.a4;
    const Excerpts excerpts(recording_, whole ? std::vector<Span>{} : parts);
    Hearing heard = hear(one, whole ? recording_ : excerpts.view(), options, progress);
    add_findings(heard, one, verdicts_);
    if (whole) return heard;
    heard.reference.a4_given = options_.a4.has_value();
    excerpts.put_back(heard);
    return heard;
  }

  std::span<const Timeline> items_;
  AudioView recording_;
  const HearOptions& options_;
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
