#include "endpin/app/process.h"

#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstring>
#include <utility>

#include <fcntl.h>
#include <poll.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace endpin::app {
namespace {

using Clock = std::chrono::steady_clock;
constexpr std::size_t error_tail_bytes = 64 << 10;

class Pipe {
 public:
  static std::optional<Pipe> open() {
    std::array<int, 2> ends{};
    if (::pipe2(ends.data(), O_CLOEXEC) != 0) return std::nullopt;
    return Pipe(ends[0], ends[1]);
  }
  Pipe(Pipe&& o) noexcept : in_(std::exchange(o.in_, -1)), out_(std::exchange(o.out_, -1)) {}
  Pipe& operator=(Pipe&&) = delete;
  ~Pipe() { close_reading(), close_writing(); }
  int reading() const { return in_; }
  int writing() const { return out_; }
  void close_reading() { close_end(in_); }
  void close_writing() { close_end(out_); }

 private:
  Pipe(int in, int out) : in_(in), out_(out) {}
  static void close_end(int& fd) {
    if (fd >= 0) ::close(fd);
    fd = -1;
  }
  int in_;
  int out_;
};

Error start_error(const std::string& program, int number) {
  if (number == ENOENT) {
    return {ErrorKind::machine, program, "", "this program is not installed",
            "Run ./run once, which installs what is needed."};
  }
  return {ErrorKind::machine, program, "",
          std::string("could not be started: ") + std::strerror(number), "Try again."};
}

// In the child, between fork and exec: only what is async-signal-safe.
[[noreturn]] void become(char* const* arguments, int in, int out, int errors, int report,
                         const ProcessLimits& limits) {
  ::setpgid(0, 0);
  ::dup2(in, STDIN_FILENO);
  ::dup2(out, STDOUT_FILENO);
  ::dup2(errors, STDERR_FILENO);
  ::signal(SIGPIPE, SIG_DFL);
  if (limits.address_space_bytes) {
    const rlimit bound{*limits.address_space_bytes, *limits.address_space_bytes};
    ::setrlimit(RLIMIT_AS, &bound);
  }
  const rlimit no_core{0, 0};
  ::setrlimit(RLIMIT_CORE, &no_core);
  ::execvp(arguments[0], arguments);
  const int number = errno;
  [[maybe_unused]] const ssize_t told = ::write(report, &number, sizeof number);
  ::_exit(127);
}

struct Child {
  pid_t pid;
  Pipe input, output, errors;
};

Result<Child> start(const std::vector<std::string>& command, const ProcessLimits& limits) {
  auto input = Pipe::open();
  auto output = Pipe::open();
  auto errors = Pipe::open();
  auto report = Pipe::open();
  if (!input || !output || !errors || !report) {
    return Unexpected(start_error(command.front(), errno));
  }
  std::vector<char*> arguments;
  for (const std::string& word : command) arguments.push_back(const_cast<char*>(word.c_str()));
  arguments.push_back(nullptr);
  const pid_t pid = ::fork();
  if (pid < 0) return Unexpected(start_error(command.front(), errno));
  if (pid == 0) {
    become(arguments.data(), input->reading(), output->writing(), errors->writing(),
           report->writing(), limits);
  }
  input->close_reading();
  output->close_writing();
  errors->close_writing();
  report->close_writing();
  int number = 0;
  if (::read(report->reading(), &number, sizeof number) == sizeof number) {
    ::waitpid(pid, nullptr, 0);
    return Unexpected(start_error(command.front(), number));
  }
  return Child{pid, std::move(*input), std::move(*output), std::move(*errors)};
}

// A write to a child that has gone must not end us; the signal is held back in this thread only.
class HoldBrokenPipe {
 public:
  HoldBrokenPipe() {
    ::sigemptyset(&set_);
    ::sigaddset(&set_, SIGPIPE);
    ::pthread_sigmask(SIG_BLOCK, &set_, &before_);
  }
  HoldBrokenPipe(const HoldBrokenPipe&) = delete;
  HoldBrokenPipe& operator=(const HoldBrokenPipe&) = delete;
  ~HoldBrokenPipe() {
    const timespec now{};
    while (::sigtimedwait(&set_, nullptr, &now) > 0) {
    }
    ::pthread_sigmask(SIG_SETMASK, &before_, nullptr);
  }

 private:
  sigset_t set_{};
  sigset_t before_{};
};

class Exchange {
 public:
  Exchange(Child& child, std::string_view input, const ProcessLimits& limits,
           const OutputSink& sink)
      : child_(child),
        input_(input),
        limits_(limits),
        sink_(sink),
        deadline_(Clock::now() + std::chrono::duration_cast<Clock::duration>(
                                     std::chrono::duration<double>(limits.wall_time.value()))) {
    ::fcntl(child.input.writing(), F_SETFL, O_NONBLOCK);
  }

  ProcessResult run() {
    const HoldBrokenPipe held;
    while (child_.output.reading() >= 0 || child_.errors.reading() >= 0) {
      if (input_.empty()) child_.input.close_writing();
      if (!wait_and_move()) {
        ::kill(-child_.pid, SIGKILL);
        break;
      }
    }
    finish();
    return std::move(result_);
  }

 private:
  bool wait_and_move() {
    const auto left =
        std::chrono::duration_cast<std::chrono::milliseconds>(deadline_ - Clock::now());
    if (left.count() <= 0) return result_.timed_out = true, false;
    std::array<pollfd, 3> ends{{{child_.output.reading(), POLLIN, 0},
                                {child_.errors.reading(), POLLIN, 0},
                                {child_.input.writing(), POLLOUT, 0}}};
    if (::poll(ends.data(), ends.size(), static_cast<int>(left.count()) + 1) < 0) {
      return errno == EINTR;
    }
    if (ends[0].revents != 0) take(child_.output, result_.output);
    if (sink_) hand_on();
    if (ends[1].revents != 0) take(child_.errors, result_.errors);
    if (ends[2].revents != 0) feed();
    if (result_.errors.size() > 2 * error_tail_bytes) {
      result_.errors.erase(0, result_.errors.size() - error_tail_bytes);
    }
    if (handed_on_ + result_.output.size() > limits_.output_bytes)
      return result_.output_too_long = true, false;
    return true;
  }

  static void take(Pipe& pipe, std::string& into) {
    std::array<char, 1 << 16> block;
    const ssize_t got = ::read(pipe.reading(), block.data(), block.size());
    if (got > 0) {
      into.append(block.data(), static_cast<std::size_t>(got));
    } else if (got == 0 || errno != EINTR) {
      pipe.close_reading();
    }
  }

  void hand_on() {
    sink_(result_.output);
    handed_on_ += result_.output.size();
    result_.output.clear();
  }

  void feed() {
    const ssize_t written = ::write(child_.input.writing(), input_.data(), input_.size());
    if (written >= 0) {
      input_.remove_prefix(static_cast<std::size_t>(written));
    } else if (errno != EAGAIN && errno != EINTR) {
      input_ = {};  // it wants no more
    }
  }

  // Output has ended; the child itself may not have.
  void finish() {
    int status = 0;
    while (::waitpid(child_.pid, &status, WNOHANG) == 0) {
      if (Clock::now() >= deadline_ && !result_.timed_out) {
        result_.timed_out = true;
        ::kill(-child_.pid, SIGKILL);
      }
      ::usleep(1000);
    }
    result_.exit_status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  }

  Child& child_;
  std::string_view input_;
  const ProcessLimits& limits_;
  const OutputSink& sink_;
  std::uint64_t handed_on_ = 0;
  Clock::time_point deadline_;
  ProcessResult result_;
};

}  // namespace

Result<ProcessResult> run_process(const std::vector<std::string>& command, std::string_view input,
                                  const ProcessLimits& limits) {
  return run_process(command, input, limits, nullptr);
}

Result<ProcessResult> run_process(const std::vector<std::string>& command, std::string_view input,
                                  const ProcessLimits& limits, const OutputSink& sink) {
  auto child = start(command, limits);
  if (!child) return Unexpected(std::move(child).error());
  return Exchange(*child, input, limits, sink).run();
}

}  // namespace endpin::app
