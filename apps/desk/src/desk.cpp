#include "endpin/desk/desk.h"

#include <algorithm>

#include "endpin/engraving/engraving.h"

#include "demo.h"
#include "http_server.h"
#include "services.h"
#include "static_files.h"
#include "sweeper.h"

namespace endpin::desk {
namespace {

Result<std::vector<std::string>> draw(const std::string& musicxml, double width_mm) {
  app::EngraveOptions options;
  options.width = width_mm;
  auto drawn = app::engrave(musicxml, options);
  if (!drawn) return Unexpected(drawn.error());
  return std::move(drawn->pages);
}

ConnectionLimits limits(const DeskOptions& options) {
  ConnectionLimits l;
  l.header_time = options.header_time;
  return l;
}

class RunningDesk final : public Desk {
 public:
  RunningDesk(const DeskOptions& options, std::unique_ptr<book::Book> book)
      : options_(options),
        book_(std::move(book)),
        scores_(*book_),
        marked_(*book_, scores_),
        sounds_(book_->folder() / "cache" / "sound"),
        lessons_(*book_, marked_,
                 [this](book::Id lesson, const std::string& state) { tell_lesson(lesson, state); }),
        class_sets_(*book_, marked_,
                    [this](book::Id set, const std::string& state, const std::string& doing) {
                      tell_class_set(set, state, doing);
                    }),
        engraver_(book_->folder() / "cache" / "engraving", draw,
                  [this](book::Id piece, const std::string& state) { tell_piece(piece, state); }),
        hearings_(*book_, marked_, [this](book::Id take) { tell_take(services(), take); }),
        server_([this](Call& call) { return answer(call); }, limits(options)) {}

  ~RunningDesk() override { end(); }

  Result<void> take_port() {
    auto port = server_.bind(options_.listen, options_.port);
    if (!port) return Unexpected(port.error());
    port_ = *port;
    guard_ = std::make_unique<Guard>(options_.listen, port_);
    add_routes();
    return {};
  }

  int port() const override { return port_; }
  bool on_network() const override { return guard_->network(); }
  book::Book& book() override { return *book_; }

  std::string address() const override {
    const bool bracket = options_.listen.find(':') != std::string::npos;
    const std::string host = bracket ? "[" + options_.listen + "]" : options_.listen;
    const std::string pass = guard_->pass_path();
    return "http://" + host + ":" + std::to_string(port_) + (pass.empty() ? "/" : pass);
  }

  void serve() override {
    hearings_.start(options_.workers);
    if (options_.draw_ahead) {
      engraver_.start();
      lessons_.start();
      class_sets_.start();
    }
    const Sweeper sweeper(*book_, [this] { hearings_.wake(); });
    server_.serve();
    end();
  }

  void stop() override {
    events_.close();
    server_.stop();
  }

 private:
  Services services() {
    return {*book_,   events_,     scores_,   marked_,   sounds_,
            lessons_, class_sets_, engraver_, hearings_, *guard_};
  }

  Answer answer(Call& call) {
    if (auto refusal = guard_->refusal(call)) return *refusal;
    return router_.answer(call);
  }

  void add_routes() {
    add_book_routes(router_, services());
    add_student_routes(router_, services());
    add_piece_routes(router_, services());
    add_marking_routes(router_, services());
    add_mend_routes(router_, services());
    add_transpose_routes(router_, services());
    add_sound_routes(router_, services());
    add_lesson_routes(router_, services());
    add_word_routes(router_, services());
    add_export_routes(router_, services());
    add_bar_routes(router_, services());
    add_class_set_routes(router_, services());
    add_draft_routes(router_, services());
    add_draft_check_routes(router_, services());
    add_take_upload_routes(router_, services());
    add_take_routes(router_, services());
    add_take_item_routes(router_, services());
    add_event_routes(router_, services());
    router_.set_fallback(
        [root = options_.web_root](const Call& call) { return static_file(root, call); });
  }

  void tell_piece(book::Id piece, const std::string& state) {
    events_.tell("piece", dump({{"id", piece}, {"engraving", state}}));
  }

  void tell_lesson(book::Id lesson, const std::string& state) {
    events_.tell("lesson", dump({{"id", lesson}, {"state", state}}));
  }

  void tell_class_set(book::Id set, const std::string& state, const std::string& doing) {
    events_.tell("set", dump({{"id", set}, {"state", state}, {"doing", doing}}));
  }

  void end() {
    events_.close();
    hearings_.stop();
    engraver_.stop();
    lessons_.stop();
    class_sets_.stop();
  }

  DeskOptions options_;
  std::unique_ptr<book::Book> book_;
  Events events_;
  ScoreShelf scores_;
  MarkedScores marked_;
  SoundMaker sounds_;
  LessonMaker lessons_;
  ClassSetMaker class_sets_;
  Engraver engraver_;
  HearingQueue hearings_;
  HttpServer server_;
  Router router_;
  std::unique_ptr<Guard> guard_;
  int port_ = 0;
};

}  // namespace

Result<std::unique_ptr<Desk>> Desk::open(const DeskOptions& options) {
  auto book = book::open_book(options.book, {options.clock});
  if (!book) return Unexpected(book.error());
  if (options.demo) {
    if (auto filled = fill_with_demo(**book, *options.demo); !filled) {
      return Unexpected(filled.error());
    }
  }
  auto desk = std::make_unique<RunningDesk>(options, std::move(*book));
  if (auto taken = desk->take_port(); !taken) return Unexpected(taken.error());
  return std::unique_ptr<Desk>(std::move(desk));
}

}  // namespace endpin::desk
