#include "confine.h"

#include <cerrno>
#include <csignal>
#include <initializer_list>

#include <seccomp.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>

namespace endpin {
namespace {

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr bool sanitized = true;  // sanitizers need address space and threads of their own
#else
constexpr bool sanitized = false;
#endif

// An hour of MP3 takes some seconds: a file that needs a minute is made to take long.
constexpr rlim_t cpu_seconds = 60;
constexpr rlim_t memory_bytes = rlim_t{768} << 20;

void bound(int resource, rlim_t limit) {
  const rlimit both{limit, limit};
  setrlimit(static_cast<__rlimit_resource>(resource), &both);
}

void bound_resources() {
  bound(RLIMIT_CORE, 0);
  bound(RLIMIT_FSIZE, 0);  // pipes are not files
  bound(RLIMIT_NOFILE, 8);
  bound(RLIMIT_CPU, cpu_seconds);
  if (!sanitized) bound(RLIMIT_AS, memory_bytes);
  prctl(PR_SET_PDEATHSIG, SIGKILL);
  prctl(PR_SET_DUMPABLE, 0);
}

bool allow_needed(scmp_filter_ctx filter) {
  const int needed[] = {SCMP_SYS(read),
                        SCMP_SYS(write),
                        SCMP_SYS(lseek),
                        SCMP_SYS(fstat),
                        SCMP_SYS(newfstatat),
                        SCMP_SYS(close),
                        SCMP_SYS(brk),
                        SCMP_SYS(munmap),
                        SCMP_SYS(mremap),
                        SCMP_SYS(madvise),
                        SCMP_SYS(futex),
                        SCMP_SYS(exit),
                        SCMP_SYS(exit_group),
                        SCMP_SYS(rt_sigreturn),
                        SCMP_SYS(rt_sigprocmask),
                        SCMP_SYS(rt_sigaction),
                        SCMP_SYS(clock_gettime),
                        SCMP_SYS(gettimeofday),
                        SCMP_SYS(getrandom),
                        SCMP_SYS(sched_yield),
                        SCMP_SYS(sched_getaffinity),
                        SCMP_SYS(restart_syscall)};
  for (const int call : needed) {
    if (seccomp_rule_add(filter, SCMP_ACT_ALLOW, call, 0) != 0) return false;
  }
  // Memory, unless it is to be executed.
  for (const int call : {SCMP_SYS(mmap), SCMP_SYS(mprotect)}) {
    const scmp_arg_cmp not_executable = SCMP_A2(SCMP_CMP_MASKED_EQ, PROT_EXEC, 0);
    if (seccomp_rule_add(filter, SCMP_ACT_ALLOW, call, 1, not_executable) != 0) return false;
  }
  return true;
}

bool forbid_at_once(scmp_filter_ctx filter) {
  const int hostile[] = {SCMP_SYS(execve), SCMP_SYS(execveat), SCMP_SYS(socket), SCMP_SYS(connect),
                         SCMP_SYS(fork),   SCMP_SYS(vfork),    SCMP_SYS(clone),  SCMP_SYS(clone3),
                         SCMP_SYS(ptrace), SCMP_SYS(bpf)};
  for (const int call : hostile) {
    if (seccomp_rule_add(filter, SCMP_ACT_KILL_PROCESS, call, 0) != 0) return false;
  }
  return true;
}

// An allow-list; everything else fails as not permitted, and what only an intruder does ends us.
bool filter_system_calls() {
  const scmp_filter_ctx filter = seccomp_init(SCMP_ACT_ERRNO(EPERM));
  if (filter == nullptr) return false;
  const bool loaded = allow_needed(filter) && forbid_at_once(filter) && seccomp_load(filter) == 0;
  seccomp_release(filter);
  return loaded;
}

}  // namespace

bool confine() {
  prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0);
  bound_resources();
  return sanitized || filter_system_calls();
}

}  // namespace endpin
