#pragma once

#include <string>
#include <vector>

#include "endpin/technique/fingering.h"

namespace endpin {

/// Single notes, each `seconds` long, one after the other.
inline std::vector<FingeringEvent> melody(const std::vector<std::string>& pitches,
                                          double seconds = 0.5) {
  std::vector<FingeringEvent> events;
  for (const std::string& pitch : pitches) {
    FingeringEvent event;
    event.notes.push_back({*SpelledPitch::parse(pitch), {}, false});
    event.onset = Seconds(seconds * static_cast<double>(events.size()));
    event.sounding = Seconds(seconds);
    events.push_back(event);
  }
  return events;
}

}  // namespace endpin
