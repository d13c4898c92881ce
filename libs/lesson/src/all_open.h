#pragma once

#include <utility>
#include <vector>

#include "endpin/technique/markings.h"
#include "endpin/timeline/timeline.h"

namespace endpin {

/// Every note as an open string. Without this a D may be fingered on the G string.
inline std::vector<TeacherMarking> all_open(const Timeline& timeline) {
  std::vector<TeacherMarking> markings;
  for (const TimelineNote& note : timeline.notes) {
    TeacherMarking marking;
    marking.id = note.id;
    marking.finger = 0;
    markings.push_back(std::move(marking));
  }
  return markings;
}

}  // namespace endpin
