#include "excerpts.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "measure/segments.h"

namespace endpin::listen {
namespace {

bool begins_in(const NoteHearing& n, const Segment& s) {
  const auto within = [&](Seconds at) { return at >= s.from && at < s.to; };
  return (n.heard && within(n.heard->onset)) ||
         std::any_of(n.attempts.begin(), n.attempts.end(),
                     [&](const Span& attempt) { return within(attempt.from); });
}

// Whether a piece of a segment that a join split is worth a line: music in which a note begins,
// anything else that lasts. Music is that of the notes that begin in it.
bool keep_piece(Segment& piece, const Hearing& hearing) {
  if (piece.kind != SegmentKind::playing) return (piece.to - piece.from).value() >= shortest_line_s;
  const std::optional<int> first = piece.from_index, last = piece.to_index;
  piece.from_index.reset(), piece.to_index.reset();
  for (const NoteHearing& n : hearing.notes) {
    const bool named =
        n.item == piece.item && first && last && n.index >= *first && n.index <= *last;
    if (!named || !begins_in(n, piece)) continue;
    if (!piece.from_index) piece.from_index = n.index;
    piece.to_index = n.index;
  }
  return piece.from_index.has_value();
}

}  // namespace

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
    if (to == from) continue;
    const double until_s = at_s + static_cast<double>(to - from) / rate_;
    parts_.push_back({at_s, until_s, static_cast<double>(from) / rate_ - at_s});
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
    const double there = moved(Seconds(at_s)).value() / whole.step_s;
    const auto nearest = static_cast<std::size_t>(std::max(0.0, std::round(there)));
    cover_->steps.push_back(whole.steps[std::min(nearest, whole.steps.size() - 1)]);
    at_s = static_cast<double>(cover_->steps.size()) * whole.step_s;
  }
}

OwnSound Excerpts::own() const {
  const AudioView sound{samples_, rate_};
  return {sound, sound.length(), recorded_at_hz_, cover_ ? &*cover_ : nullptr};
}

// The last that begins there or before.
Excerpts::Part Excerpts::part_at(Seconds beginning) const {
  Part found = parts_.empty() ? Part{} : parts_.front();
  for (const Part& part : parts_) {
    if (part.at_s <= beginning.value() + 0.5 / rate_) found = part;
  }
  return found;
}

// The last that begins before: what ends on a join belongs to the part before it.
Excerpts::Part Excerpts::part_up_to(Seconds end) const {
  Part found = parts_.empty() ? Part{} : parts_.front();
  for (const Part& part : parts_) {
    if (part.at_s < end.value() - 0.5 / rate_) found = part;
  }
  return found;
}

Seconds Excerpts::moved(Seconds beginning) const {
  return beginning + Seconds(part_at(beginning).shift_s);
}

void Excerpts::move_sound(Seconds& from, Seconds& to) const {
  const Part part = part_at(from);
  to = std::min(to, Seconds(part.until_s)) + Seconds(part.shift_s);
  from += Seconds(part.shift_s);
}

void Excerpts::split(const Segment& segment, const Hearing& hearing,
                     std::vector<Segment>& into) const {
  const bool is_whole = part_at(segment.from).at_s == part_up_to(segment.to).at_s;
  for (const Part& part : parts_) {
    Segment piece = segment;
    piece.from = std::max(segment.from, Seconds(part.at_s));
    piece.to = std::min(segment.to, Seconds(part.until_s));
    if (piece.to - piece.from < Seconds(0.5 / rate_)) continue;
    if (!is_whole && !keep_piece(piece, hearing)) continue;
    piece.from += Seconds(part.shift_s), piece.to += Seconds(part.shift_s);
    into.push_back(piece);
  }
}

void Excerpts::put_back(Hearing& hearing) const {
  std::vector<Segment> segments;
  for (const Segment& segment : hearing.segments) split(segment, hearing, segments);
  hearing.segments = std::move(segments);
  for (NoteHearing& n : hearing.notes) {
    for (Span& attempt : n.attempts) move_sound(attempt.from, attempt.to);
    if (!n.heard) continue;
    Seconds to = n.heard->offset.value_or(n.heard->onset);
    move_sound(n.heard->onset, to);
    if (n.heard->offset) n.heard->offset = to;
  }
  for (ExtraNote& extra : hearing.extra) move_sound(extra.onset, extra.offset);
  for (Restart& restart : hearing.restarts) restart.time = moved(restart.time);
  for (Finding& finding : hearing.findings) {
    finding.from = moved(finding.from);
    finding.to = std::max(finding.from, finding.to + Seconds(part_up_to(finding.to).shift_s));
  }
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
