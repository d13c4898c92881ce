#include "engraver.h"

#include <algorithm>

#include "endpin/app/files.h"
#include "endpin/book/upload.h"

#include "fields.h"

namespace endpin::desk {
namespace {

// A staff of 7 mm has spaces of 1.75 mm: lines of about 100 and of 56 of them.
constexpr double wide_mm = 175;
constexpr double narrow_mm = 98;
// To be raised when the same score is to be drawn anew.
constexpr const char* drawing_version = "1";
constexpr std::size_t most_waiting = 1000;

std::string key_of(const std::string& musicxml, bool narrow) {
  book::ContentHash hash;
  hash.add(drawing_version);
  hash.add(narrow ? "narrow" : "wide");
  hash.add(musicxml);
  return hash.hex().substr(0, 32);
}

}  // namespace

Engraver::Engraver(std::filesystem::path cache, Draw draw, Told told)
    : cache_(std::move(cache)), draw_(std::move(draw)), told_(std::move(told)) {
  std::error_code failed;
  std::filesystem::create_directories(cache_, failed);
}

void Engraver::start() {
  thread_ = std::thread([this] { work(); });
}

Engraver::~Engraver() { stop(); }

void Engraver::stop() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  arrived_.notify_all();
  if (thread_.joinable()) thread_.join();
}

Engraver::Drawing Engraver::get(book::Id piece, const std::string& musicxml, bool narrow) {
  Drawing drawing{"waiting", key_of(musicxml, narrow), "[]", {}};
  if (auto kept = app::read_file(file(drawing.key))) {
    drawing.state = "ready";
    drawing.pages = std::move(*kept);
    set_state(piece, "ready");
    return drawing;
  }
  const std::lock_guard lock(mutex_);
  if (const auto failed = failures_.find(drawing.key); failed != failures_.end()) {
    drawing.state = "failed";
    drawing.failure = failed->second;
    return drawing;
  }
  std::erase_if(waiting_, [&](const Wanted& w) { return w.key == drawing.key; });
  if (drawing_ != drawing.key && waiting_.size() < most_waiting) {
    waiting_.push_front({piece, drawing.key, musicxml, narrow});
    arrived_.notify_one();
  }
  return drawing;
}

std::string Engraver::state(book::Id piece) const {
  const std::lock_guard lock(mutex_);
  const auto found = states_.find(piece);
  return found == states_.end() ? "waiting" : found->second;
}

void Engraver::set_state(book::Id piece, const std::string& state) {
  const std::lock_guard lock(mutex_);
  states_[piece] = state;
}

void Engraver::work() {
  while (true) {
    Wanted wanted;
    {
      std::unique_lock lock(mutex_);
      arrived_.wait(lock, [this] { return stopping_ || !waiting_.empty(); });
      if (stopping_) return;
      wanted = std::move(waiting_.front());
      waiting_.pop_front();
      drawing_ = wanted.key;
    }
    draw(wanted);
    const std::lock_guard lock(mutex_);
    drawing_.clear();
  }
}

void Engraver::draw(const Wanted& wanted) {
  Result<void> done;
  if (auto pages = draw_(wanted.musicxml, wanted.narrow ? narrow_mm : wide_mm)) {
    done = app::write_file_atomically(file(wanted.key), dump(*pages));
  } else {
    done = Unexpected(pages.error());
  }
  if (!done) {
    const std::lock_guard lock(mutex_);
    if (failures_.size() > 1000) failures_.clear();
    failures_[wanted.key] = done.error();
  }
  const std::string state = done ? "ready" : "failed";
  set_state(wanted.piece, state);
  told_(wanted.piece, state);
}

}  // namespace endpin::desk
