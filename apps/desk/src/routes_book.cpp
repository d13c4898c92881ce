#include "book_json.h"
#include "ready.h"
#include "services.h"

namespace endpin::desk {
namespace {

Answer overview(const Services& s) {
  const auto settings = s.book.settings();
  if (!settings) return refuse(settings.error());
  const auto counts = s.book.counts();
  if (!counts) return refuse(counts.error());
  const auto waiting = s.book.takes().waiting();
  if (!waiting) return refuse(waiting.error());
  return json_answer({{"schema", "endpin.desk/1"},
                      {"version", ENDPIN_VERSION},
                      {"folder", s.book.folder().string()},
                      {"settings", to_json(*settings)},
                      {"counts",
                       {{"students", counts->students},
                        {"groups", counts->groups},
                        {"pieces", counts->pieces},
                        {"lessons", counts->lessons},
                        {"takes", counts->takes},
                        {"new_takes", counts->new_takes}}},
                      {"queue", {{"waiting", *waiting}, {"hearing", s.hearings.under_way()}}},
                      {"network", s.guard.network()},
                      {"ready", ready_parts()}});
}

Answer change_settings(const Services& s, const Call& call) {
  auto settings = s.book.settings();
  if (!settings) return refuse(settings.error());
  Fields fields(call);
  read(fields, *settings);
  if (fields.problem()) return *fields.problem();
  if (auto kept = s.book.change_settings(*settings); !kept) return refuse(kept.error());
  return overview(s);
}

Answer back_up(const Services& s) {
  const auto folder = s.book.folder() / "backups";
  std::error_code failed;
  std::filesystem::create_directory(folder, failed);
  const auto file = folder / (book::utc(book::system_clock()()) + ".endpin-book");
  if (auto written = s.book.back_up(file); !written) return refuse(written.error());
  return json_answer({{"file", file.string()}, {"bytes", std::filesystem::file_size(file, failed)}},
                     201);
}

/// Only from the desk's own machine: who came in by the link must not shut the teacher out.
Answer withdraw_pass(const Services& s, const Call& call) {
  if (!s.guard.network()) {
    return refuse(409, Error{ErrorKind::usage, "", "", "the desk serves this machine alone",
                             "There is no pass to withdraw."});
  }
  if (!is_loopback(call.remote)) {
    return refuse(403, Error{ErrorKind::usage, "", "", "only the desk's own machine may do this",
                             "Do it on the machine on which the desk runs."});
  }
  s.guard.withdraw();
  return json_answer({{"pass", s.guard.pass_path()}});
}

}  // namespace

void add_book_routes(Router& router, Services s) {
  router.add("GET", "/api/book", [s](const Call&) { return overview(s); });
  router.add("PATCH", "/api/book", [s](const Call& call) { return change_settings(s, call); });
  router.add("POST", "/api/book/backup", [s](const Call&) { return back_up(s); });
  router.add("POST", "/api/book/pass", [s](const Call& call) { return withdraw_pass(s, call); });
}

}  // namespace endpin::desk
