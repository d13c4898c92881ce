#include "endpin/score/score.h"

namespace endpin {
namespace {

void apply(const Change& change, Context& context) {
  switch (change.kind) {
    case ChangeKind::key:
      context.key = change.key;
      break;
    case ChangeKind::time:
      context.time = change.time;
      break;
    case ChangeKind::clef:
      if (change.clef.staff == 1) context.clef = change.clef;
      break;
    case ChangeKind::transposition:
      context.transpose = change.transpose;
      break;
  }
}

}  // namespace

std::vector<Context> contexts(const Part& part) {
  std::vector<Context> all;
  all.reserve(part.bars.size());
  Context context;
  context.transpose = part.transpose;
  for (const Bar& bar : part.bars) {
    for (const Change& change : bar.changes) {
      if (change.at == Beats(0)) apply(change, context);
    }
    all.push_back(context);
    for (const Change& change : bar.changes) {
      if (change.at != Beats(0)) apply(change, context);
    }
  }
  return all;
}

}  // namespace endpin
