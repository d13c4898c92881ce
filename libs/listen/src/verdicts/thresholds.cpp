#include "verdicts/thresholds.h"

#include <array>

namespace endpin::listen {
namespace {

struct Row {
  std::string_view step;
  double note_cents, tendency_cents, onset_beats;
};

// Beginner, intermediate, advanced.
constexpr std::array<Row, 8> rows{{{"open-strings", 35, 24, 0.25},
                                   {"first-position", 35, 24, 0.22},
                                   {"slurs", 35, 24, 0.22},
                                   {"extensions", 28, 20, 0.2},
                                   {"lower-positions", 28, 20, 0.2},
                                   {"neck-positions", 28, 20, 0.2},
                                   {"upper-positions", 22, 16, 0.18},
                                   {"thumb", 22, 16, 0.18}}};

}  // namespace

Thresholds thresholds_for(std::string_view step) {
  Thresholds t;
  for (const Row& row : rows) {
    if (row.step != step) continue;
    t.note_cents = row.note_cents;
    t.tendency_cents = row.tendency_cents;
    t.onset_beats = row.onset_beats;
  }
  return t;
}

}  // namespace endpin::listen
