#include "hearing_queue.h"

#include <sys/resource.h>
#include <unistd.h>

#include "finding_marks.h"
#include "hear_take.h"
#include "lesson_order.h"

namespace endpin::desk {
namespace {

// Hearing must not make the page wait.
void step_back() { ::setpriority(PRIO_PROCESS, static_cast<id_t>(::gettid()), 5); }

Error stopped_by_hand() {
  return {ErrorKind::input, "", "", "stopped", "Have it heard again when you like."};
}

Error gone(const std::string& what) {
  return {ErrorKind::machine, "", "", what, "Send the recording again."};
}

// What `hearing` answers, or why it was broken off.
template <typename Hearing>
auto without_throwing(const book::Take& take, const Hearing& hearing) -> decltype(hearing()) {
  try {
    return hearing();
  } catch (const Stopped&) {
    return Unexpected(stopped_by_hand());
  } catch (const std::exception& fault) {
    return Unexpected(Error{ErrorKind::machine, take.file_name, "", fault.what(),
                            "This is a fault of the program: please report it."});
  }
}

}  // namespace

HearingQueue::HearingQueue(book::Book& book, MarkedScores& scores, Told told)
    : book_(book), scores_(scores), told_(std::move(told)) {}

void HearingQueue::start(int workers) {
  for (int i = 0; i < workers; ++i) threads_.emplace_back([this] { work(); });
}

HearingQueue::~HearingQueue() { stop(); }

void HearingQueue::wake() {
  const std::lock_guard lock(mutex_);
  ++wakes_;
  woken_.notify_one();
}

bool HearingQueue::cancel(book::Id take) {
  const std::lock_guard lock(mutex_);
  if (!progress_.count(take)) return false;
  cancelled_.insert(take);
  return true;
}

double HearingQueue::progress(book::Id take) const {
  const std::lock_guard lock(mutex_);
  const auto found = progress_.find(take);
  return found == progress_.end() ? 0 : found->second;
}

int HearingQueue::under_way() const {
  const std::lock_guard lock(mutex_);
  return static_cast<int>(progress_.size());
}

void HearingQueue::stop() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
    woken_.notify_all();
  }
  for (std::thread& thread : threads_) {
    if (thread.joinable()) thread.join();
  }
}

void HearingQueue::work() {
  step_back();
  while (true) {
    long seen = 0;
    {
      std::unique_lock lock(mutex_);
      woken_.wait(lock, [this] { return stopping_ || wakes_ > handled_; });
      if (stopping_) return;
      seen = wakes_;
    }
    const auto take = book_.takes().claim();
    if (!take) {  // a full disk, say: the take waits for better times
      if (!pause()) return;
      continue;
    }
    if (*take) {
      wake();  // there may be work for the others
      hear(**take);
      continue;
    }
    const std::lock_guard lock(mutex_);
    handled_ = std::max(handled_, seen);
  }
}

// False: the desk stops.
bool HearingQueue::pause() {
  constexpr auto until_the_book_takes_writing = std::chrono::seconds(2);
  std::unique_lock lock(mutex_);
  return !woken_.wait_for(lock, until_the_book_takes_writing, [this] { return stopping_.load(); });
}

void HearingQueue::report(book::Id take, double done) {
  if (stopping_) throw Stopped();
  bool tell = false;
  {
    const std::lock_guard lock(mutex_);
    if (cancelled_.count(take)) throw Stopped();
    double& known = progress_[take];
    tell = done == 0 || done >= known + 0.05;
    if (tell) known = done;
  }
  if (tell) told_(take);
}

void HearingQueue::hear(const book::Take& take) {
  {
    const std::lock_guard lock(mutex_);
    progress_[take.id] = 0;
  }
  settle(take, without_throwing(take, [&] { return hear_and_keep(take); }));
}

Result<void> HearingQueue::hear_and_keep(const book::Take& take) {
  const auto folder = book_.takes().folder(take);
  if (auto known = know_findings(book_, take.id, folder); !known) return known;
  const auto heard = hear_now(take);
  if (!heard) return Unexpected(heard.error());
  const auto kept = book_.takes().heard(take.id, brief(*heard), bars(heard->front().hearing),
                                        finding_marks(folder));
  if (!kept) return Unexpected(kept.error());
  return {};
}

Result<std::vector<ItemHearing>> HearingQueue::hear_now(const book::Take& take) {
  const auto piece = book_.pieces().find(take.piece.value_or(0));
  if (!piece) return Unexpected(piece.error());
  if (!*piece) return Unexpected(gone("the piece was deleted"));
  std::error_code failed;
  if (!std::filesystem::exists(book_.takes().original(take), failed)) {
    return Unexpected(gone("the recording's file is gone"));
  }
  const auto marked = scores_.get(**piece);
  if (!marked) return Unexpected(marked.error());
  const auto settings = book_.settings();
  const auto original = book_.takes().original(take);
  const auto items = items_of(book_, scores_, take, **piece, **marked);
  const HearJob job{take,
                    book_.takes().folder(take),
                    original,
                    *(*marked)->score,
                    items,
                    (*marked)->markings.step,
                    language_of(book_),
                    settings ? settings->a4 : std::nullopt,
                    [&](double done) { report(take.id, done); },
                    [&](double seconds) {
                      (void)book_.takes().measured(take.id, seconds, has_picture(original));
                    }};
  return hear_take(job);
}

void HearingQueue::settle(const book::Take& take, Result<void> done) {
  // A take that the desk's end interrupted stays `hearing`, and is queued again at the next start.
  const bool interrupted = !done && stopping_ && done.error() == stopped_by_hand();
  while (!done && !interrupted && !book_.takes().failed(take.id, done.error())) {
    if (!pause()) break;  // the next start finds it `hearing`, and has it heard again
  }
  {
    const std::lock_guard lock(mutex_);
    progress_.erase(take.id);
    cancelled_.erase(take.id);
  }
  // Deleted meanwhile: what was written after its folder was removed goes as well.
  const auto still = book_.takes().find(take.id);
  if (still && !*still) {
    std::error_code ignored;
    std::filesystem::remove_all(book_.takes().folder(take), ignored);
  }
  told_(take.id);
}

}  // namespace endpin::desk
