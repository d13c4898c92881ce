#pragma once

#include <span>
#include <vector>

#include "endpin/listen/findings.h"
#include "endpin/listen/listen.h"

/// A recording that holds a scale, a drill and the piece, heard item by item.
namespace endpin {

/// What was heard of the `item`-th of several timelines, with its findings; all in it is that
/// item's alone.
struct ItemHearing {
  int item = 0;
  Hearing hearing;
};

/// Hears each of `items` by itself: what was played of the others is left out, so that a drill is
/// never taken for a slip in the piece, nor for a hesitation between two parts of it. The first
/// item is always among the result; another is where most of its notes were heard. Times are those
/// of the recording, in which a backing is placed, and out of which it is taken, once; `backing_at`
/// is empty where it does not sound in what an item was heard in. A take of nothing but the first
/// item, played through, takes as long as `hear`; another twice to three times as long.
std::vector<ItemHearing> hear_apart(std::span<const Timeline> items, AudioView recording,
                                    const HearOptions& options = {},
                                    const FindingOptions& verdicts = {},
                                    const Progress& progress = {});

}  // namespace endpin
