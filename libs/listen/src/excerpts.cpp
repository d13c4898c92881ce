#include "excerpts.h"

#include <algorithm>
#include <cmath>

namespace endpin::listen {

Excerpts::Excerpts(const OwnSound& recording, const std::vector<Span>& parts)
    : rate_(recording.sound.sample_rate_hz),
      recorded_at_hz_(recording.recorded_at_hz),
      length_(recording.length) {
  for (const Span& part : parts) {
    const auto place = [&](Seconds at) {
      return std::min(static_cast<std::size_t>(std::max(0.0, at.value()) * rate_),
                      recording.sound.samples.size());
    };
    const std::size_t from = place(part.from), to = std::max(from, place(part.to));
    const double at_s = static_cast<double>(samples_.size()) / rate_;
    parts_.push_back({at_s, static_cast<double>(from) / rate_ - at_s});
    const auto taken = recording.sound.samples.subspan(from, to - from);
    samples_.insert(samples_.end(), taken.begin(), taken.end());
  }
  if (recording.cover) cut(*recording.cover);
}

// Each of its steps from the nearest in the recording: the parts begin between steps.
void Excerpts::cut(const Cover& whole) {
  cover_.emplace().step_s = whole.step_s;
  const double length_s = static_cast<double>(samples_.size()) / rate_;
  for (double at_s = 0; at_s < length_s && !whole.steps.empty();) {
    const double there = in_recording(Seconds(at_s)).value() / whole.step_s;
    const auto nearest = static_cast<std::size_t>(std::max(0.0, std::round(there)));
    cover_->steps.push_back(whole.steps[std::min(nearest, whole.steps.size() - 1)]);
    at_s = static_cast<double>(cover_->steps.size()) * whole.step_s;
  }
}

OwnSound Excerpts::own() const {
  const AudioView sound{samples_, rate_};
  return {sound, sound.length(), recorded_at_hz_, cover_ ? &*cover_ : nullptr};
}

Seconds Excerpts::in_recording(Seconds at) const {
  double shift = 0;
  for (const Part& part : parts_) {
    if (part.at_s <= at.value() || &part == &parts_.front()) shift = part.shift_s;
  }
  return at + Seconds(shift);
}

void Excerpts::put_back(Hearing& hearing) const {
  const auto move = [&](Seconds& at) { at = in_recording(at); };
  for (NoteHearing& n : hearing.notes) {
    for (Span& attempt : n.attempts) move(attempt.from), move(attempt.to);
    if (!n.heard) continue;
    move(n.heard->onset);
    if (n.heard->offset) move(*n.heard->offset);
  }
  for (ExtraNote& extra : hearing.extra) move(extra.onset), move(extra.offset);
  for (Restart& restart : hearing.restarts) move(restart.time);
  for (Segment& segment : hearing.segments) move(segment.from), move(segment.to);
  for (Finding& finding : hearing.findings) move(finding.from), move(finding.to);
  hearing.recording.length = length_;
}

std::vector<Span> outside(std::vector<Span> spans, Seconds length) {
  std::sort(spans.begin(), spans.end(),
            [](const Span& a, const Span& b) { return a.from < b.from; });
  std::vector<Span> left;
  Seconds at;
  for (const Span& span : spans) {
    if (at < span.from) left.push_back({at, span.from});
    at = std::max(at, span.to);
  }
  if (at < length) left.push_back({at, length});
  return left;
}

std::vector<Span> with_air(const std::vector<Span>& spans, Seconds air,
                           const std::vector<Span>& others, Seconds length) {
  std::vector<Span> wide;
  for (const Span& span : spans) wide.push_back({span.from - air, span.to + air});
  std::vector<Span> left_out = outside(wide, length);
  left_out.insert(left_out.end(), others.begin(), others.end());
  return outside(left_out, length);
}

}  // namespace endpin::listen
