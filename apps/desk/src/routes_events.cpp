#include "fields.h"
#include "services.h"

namespace endpin::desk {
namespace {

constexpr std::chrono::seconds heartbeat{15};
constexpr std::chrono::seconds retry{2};

Answer stream_of(Events& events) {
  auto listener = events.listen();
  if (!listener) {
    return refuse(429, Error{ErrorKind::machine, "", "", "too many pages listen",
                             "Ask for the lists every few seconds instead."});
  }
  Answer answer;
  answer.type = "text/event-stream";
  answer.with("Cache-Control", "no-cache");
  answer.stream = [listener, &events, begun = false](const auto& send) mutable {
    if (!begun) {
      begun = true;
      return send("retry: " + std::to_string(retry.count() * 1000) + "\n\n");
    }
    const std::string event = listener->next(heartbeat);
    if (events.closed()) return false;
    return send(event.empty() ? std::string(": still here\n\n") : event);
  };
  return answer;
}

}  // namespace

void tell_take(const Services& s, book::Id id) {
  const auto take = s.book.takes().find(id);
  if (!take) return;
  Json json;
  if (!*take) {
    json = {{"id", id}, {"state", "gone"}};
  } else if ((*take)->state == book::TakeState::hearing) {
    json = {{"id", id}, {"state", "hearing"}, {"progress", s.hearings.progress(id)}};
  } else {
    json = take_json(s, **take);
  }
  s.events.tell("take", dump(json));
}

void add_event_routes(Router& r, Services s) {
  r.add("GET", "/api/events", [s](const Call&) { return stream_of(s.events); });
}

}  // namespace endpin::desk
