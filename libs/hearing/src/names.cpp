#include <array>

#include "endpin/hearing/hearing.h"

namespace endpin {
namespace {

constexpr std::array<std::string_view, 25> finding_names{"missed",
                                                         "wrong-note",
                                                         "missed-accidental",
                                                         "extra",
                                                         "restart",
                                                         "hesitation",
                                                         "early",
                                                         "late",
                                                         "uneven",
                                                         "rushing",
                                                         "dragging",
                                                         "short-held",
                                                         "not-separated",
                                                         "gap-in-slur",
                                                         "slur-not-played",
                                                         "other-bar-rhythm",
                                                         "flat",
                                                         "sharp",
                                                         "string-out-of-tune",
                                                         "held-full",
                                                         "separated",
                                                         "in-tune",
                                                         "steady",
                                                         "clean-bar",
                                                         "clean-at-tempo"};
static_assert(static_cast<std::size_t>(FindingKind::clean_at_tempo) + 1 == finding_names.size());

constexpr std::array<std::string_view, 5> state_names{"heard", "wrong", "missed", "not-reached",
                                                      "uncertain"};
constexpr std::array<std::string_view, 5> status_names{"ok", "wrong-piece", "no-music", "too-short",
                                                       "uncertain"};
constexpr std::array<std::string_view, 6> segment_names{"playing",  "tuning",  "talk",
                                                        "count-in", "silence", "other"};

template <typename E, std::size_t N>
std::optional<E> with_name(const std::array<std::string_view, N>& names, std::string_view wanted) {
  for (std::size_t i = 0; i < N; ++i) {
    if (names[i] == wanted) return static_cast<E>(i);
  }
  return std::nullopt;
}

}  // namespace

Tone tone(FindingKind kind) { return kind >= FindingKind::held_full ? Tone::good : Tone::work; }
std::string_view name(FindingKind k) { return finding_names[static_cast<std::size_t>(k)]; }
std::string_view name(NoteState s) { return state_names[static_cast<std::size_t>(s)]; }
std::string_view name(HearingStatus s) { return status_names[static_cast<std::size_t>(s)]; }
std::string_view name(SegmentKind k) { return segment_names[static_cast<std::size_t>(k)]; }

std::optional<FindingKind> finding_kind(std::string_view wanted) {
  return with_name<FindingKind>(finding_names, wanted);
}
std::optional<NoteState> note_state(std::string_view wanted) {
  return with_name<NoteState>(state_names, wanted);
}
std::optional<HearingStatus> hearing_status(std::string_view wanted) {
  return with_name<HearingStatus>(status_names, wanted);
}
std::optional<SegmentKind> segment_kind(std::string_view wanted) {
  return with_name<SegmentKind>(segment_names, wanted);
}

}  // namespace endpin
