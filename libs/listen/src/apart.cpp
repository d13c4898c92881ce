#include "endpin/listen/apart.h"

#include <algorithm>

namespace endpin {
namespace {

constexpr double mixed_until = 0.5;  // of the progress: the hearing that tells the items apart
constexpr int fewest_notes = 4;      // so many in a row are in many tunes (ours)

std::vector<Span> stretches(const Hearing& mixed, int item) {
  std::vector<Span> found;
  for (const Segment& s : mixed.segments) {
    if (s.kind == SegmentKind::playing && s.item == item) found.push_back({s.from, s.to});
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
        const Progress& progress)
      : items_(items), recording_(recording), options_(options), progress_(progress) {}

  std::vector<ItemHearing> run() {
    const Hearing mixed = hear(items_, recording_, options_, part(0, mixed_until));
    std::vector<int> others;
    for (int i = 1; i < static_cast<int>(items_.size()); ++i) {
      if (was_played(mixed, i)) others.push_back(i);
    }
    std::vector<ItemHearing> found(1);
    std::vector<Span> taken;
    const double share = (1 - mixed_until) / static_cast<double>(others.size() + 1);
    double done = mixed_until;
    for (const int item : others) {
      Hearing one = alone(item, silence_around(mixed, item), mixed, done, done + share);
      done += share;
      if (one.status != HearingStatus::ok) continue;  // then it is the first item's to explain
      const auto own = stretches(mixed, item);
      taken.insert(taken.end(), own.begin(), own.end());
      found.push_back({item, std::move(one)});
    }
    found[0].hearing = alone(0, taken, mixed, done, 1);
    return found;
  }

 private:
  Progress part(double from, double to) const {
    if (!progress_) return {};
    return [this, from, to](double done) { progress_(from + (to - from) * done); };
  }

  // What all other items take up.
  std::vector<Span> silence_around(const Hearing& mixed, int item) const {
    std::vector<Span> all;
    for (int other = 0; other < static_cast<int>(items_.size()); ++other) {
      if (other == item) continue;
      const auto of_other = stretches(mixed, other);
      all.insert(all.end(), of_other.begin(), of_other.end());
    }
    return all;
  }

  Hearing alone(int item, const std::vector<Span>& silent, const Hearing& mixed, double from,
                double to) const {
    const auto one = items_.subspan(static_cast<std::size_t>(item), 1);
    if (silent.empty()) return hear(one, recording_, options_, part(from, to));
    std::vector<float> samples(recording_.samples.begin(), recording_.samples.end());
    for (const Span& span : silent) silence(samples, span);
    HearOptions options = options_;
    // The instrument is the same, and a drill has few notes to tell its tuning by.
    if (!options.a4) options.a4 = mixed.reference.a4;
    Hearing heard = hear(one, {samples, recording_.sample_rate_hz}, options, part(from, to));
    heard.reference.a4_given = options_.a4.has_value();
    return heard;
  }

  void silence(std::vector<float>& samples, const Span& span) const {
    const auto place = [&](Seconds at) {
      const double sample = at.value() * recording_.sample_rate_hz;
      return samples.begin() + std::clamp(static_cast<std::ptrdiff_t>(sample), std::ptrdiff_t{0},
                                          static_cast<std::ptrdiff_t>(samples.size()));
    };
    std::fill(place(span.from), std::max(place(span.from), place(span.to)), 0.0F);
  }

  std::span<const Timeline> items_;
  AudioView recording_;
  const HearOptions& options_;
  const Progress& progress_;
};

}  // namespace

std::vector<ItemHearing> hear_apart(std::span<const Timeline> items, AudioView recording,
                                    const HearOptions& options, const Progress& progress) {
  if (items.size() > 1) return Apart(items, recording, options, progress).run();
  return {{0, hear(items, recording, options, progress)}};
}

}  // namespace endpin
