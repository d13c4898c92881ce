#include "confine.h"

#include <cerrno>
#include <csignal>
#include <cstdint>
#include <functional>

#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

namespace endpin {
namespace {

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr bool sanitized = true;
#else
constexpr bool sanitized = false;
#endif

/// How a confined child ends that does `deed`: its exit status, or minus the signal.
int fate(const std::function<int()>& deed) {
  const pid_t child = ::fork();
  if (child == 0) {
    if (!confine()) ::_exit(99);
    ::_exit(deed());
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

class Confined : public testing::Test {
 protected:
  void SetUp() override {
    if (sanitized) GTEST_SKIP() << "sanitizers need system calls of their own";
    if (fate([] { return 0; }) == 99) GTEST_SKIP() << "this system cannot filter system calls";
  }
};

TEST_F(Confined, StillReadsWritesAndTakesMemory) {
  int ends[2];
  ASSERT_EQ(::pipe(ends), 0);
  EXPECT_EQ(fate([&] {
              const bool wrote = ::write(ends[1], "x", 1) == 1;
              char got = 0;
              const bool read_back = ::read(ends[0], &got, 1) == 1;
              const auto* memory = new char[64 << 20]();
              return wrote && read_back && memory[12345] == 0 ? 0 : 1;
            }),
            0);
}

TEST_F(Confined, OpensNoFile) {
  EXPECT_EQ(fate([] { return ::open("/etc/passwd", O_RDONLY) < 0 ? errno : 0; }), EPERM);
}

TEST_F(Confined, EndsAtOnceWhereItReachesForTheNetwork) {
  EXPECT_EQ(fate([] { return ::socket(AF_INET, SOCK_STREAM, 0) < 0 ? 1 : 0; }), -SIGSYS);
}

TEST_F(Confined, EndsAtOnceWhereItStartsAProgramOrAProcess) {
  char name[] = "/bin/true";
  char* words[] = {name, nullptr};
  EXPECT_EQ(fate([&] { return ::execv(name, words); }), -SIGSYS);
  EXPECT_EQ(fate([] { return static_cast<int>(::fork() < 0); }), -SIGSYS);
}

TEST_F(Confined, GetsNoMemoryToExecuteAndNoneWithoutEnd) {
  const auto map = [](std::size_t bytes, int protection) {
    return ::mmap(nullptr, bytes, protection, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0) == MAP_FAILED;
  };
  EXPECT_EQ(fate([&] { return map(4096, PROT_READ | PROT_WRITE | PROT_EXEC) ? 0 : 1; }), 0);
  EXPECT_EQ(fate([&] { return map(std::size_t{1} << 30, PROT_READ | PROT_WRITE) ? 0 : 1; }), 0);
  EXPECT_EQ(fate([&] { return map(4096, PROT_READ | PROT_WRITE) ? 1 : 0; }), 0);
}

}  // namespace
}  // namespace endpin
