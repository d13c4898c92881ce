#include "class_set_maker.h"

#include "class_set_order.h"

namespace endpin::desk {

ClassSetMaker::ClassSetMaker(book::Book& book, MarkedScores& marked, Told told)
    : book_(book),
      marked_(marked),
      told_(std::move(told)),
      jobs_([this](book::Id set, const std::stop_token& stop) { make_now(set, stop); }) {}

void ClassSetMaker::start() {
  if (const auto sets = book_.class_sets().list({})) {
    for (const book::ClassSet& set : *sets) {
      if (set.state == "making") jobs_.add(set.id);
    }
  }
  jobs_.start();
}

std::string ClassSetMaker::doing(book::Id set) const {
  const std::lock_guard lock(mutex_);
  const auto found = doing_.find(set);
  return found == doing_.end() ? std::string() : found->second;
}

void ClassSetMaker::set_doing(book::Id set, const std::string& what) {
  {
    const std::lock_guard lock(mutex_);
    if (what.empty()) {
      doing_.erase(set);
    } else {
      doing_[set] = what;
    }
  }
  if (!what.empty()) told_(set, "making", what);
}

void ClassSetMaker::make_now(book::Id id, const std::stop_token& stop) {
  const auto set = book_.class_sets().find(id);
  if (!set || !*set || (*set)->state != "making") return;
  const Result<void> done = write(**set, stop);
  set_doing(id, {});
  if (jobs_.stopping() && !done) return;  // taken up when the desk opens again
  auto now = book_.class_sets().find(id);
  if (!now) return;
  if (!*now || (*now)->state != "making") {  // deleted or cancelled meanwhile
    std::error_code ignored;
    std::filesystem::remove_all(book_.class_sets().folder(**set), ignored);
    return;
  }
  (*now)->state = done ? "ready" : "failed";
  (*now)->failure = done ? std::nullopt : std::optional(done.error());
  (void)book_.class_sets().change(**now);
  told_(id, (*now)->state, {});
}

Result<void> ClassSetMaker::write(const book::ClassSet& set, const std::stop_token& stop) {
  const auto piece = book_.pieces().find(set.piece);
  if (!piece) return Unexpected(piece.error());
  if (!*piece) return {};
  const auto order = class_set_order(book_, marked_, **piece, set);
  if (!order) return Unexpected(order.error());
  const auto planned = app::plan_class_set(*order);
  if (!planned) return Unexpected(Error(planned.error()));
  const auto tell = [&](std::string_view what) { set_doing(set.id, std::string(what)); };
  return app::write_class_set(*order, *planned, book_.class_sets().folder(set), tell, stop);
}

}  // namespace endpin::desk
