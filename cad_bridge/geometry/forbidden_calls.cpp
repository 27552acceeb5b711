// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/forbidden_calls.hpp"

#include <fcntl.h>
#include <sched.h>
#include <seccomp.h>
#include <unistd.h>

#include <cerrno>
#include <initializer_list>

namespace corefeed::geometry {
namespace {

/// Refused whatever their arguments are. What a machine does not have is left out by the library.
constexpr int never[] = {
    // other programs and processes
    SCMP_SYS(execve), SCMP_SYS(execveat), SCMP_SYS(fork), SCMP_SYS(vfork), SCMP_SYS(kill), SCMP_SYS(tkill),
    SCMP_SYS(ptrace), SCMP_SYS(process_vm_readv), SCMP_SYS(process_vm_writev), SCMP_SYS(pidfd_open),
    SCMP_SYS(pidfd_send_signal), SCMP_SYS(shmget), SCMP_SYS(msgget), SCMP_SYS(semget), SCMP_SYS(mq_open),
    // the network, and rings that call in another's place
    SCMP_SYS(socket), SCMP_SYS(socketpair), SCMP_SYS(socketcall), SCMP_SYS(io_uring_setup),
    // files and their names
    SCMP_SYS(creat), SCMP_SYS(unlink), SCMP_SYS(unlinkat), SCMP_SYS(rename), SCMP_SYS(renameat),
    SCMP_SYS(renameat2), SCMP_SYS(link), SCMP_SYS(linkat), SCMP_SYS(symlink), SCMP_SYS(symlinkat),
    SCMP_SYS(mkdir), SCMP_SYS(mkdirat), SCMP_SYS(rmdir), SCMP_SYS(mknod), SCMP_SYS(mknodat),
    SCMP_SYS(truncate), SCMP_SYS(ftruncate), SCMP_SYS(chmod), SCMP_SYS(fchmod), SCMP_SYS(fchmodat),
    SCMP_SYS(chown), SCMP_SYS(fchown), SCMP_SYS(lchown), SCMP_SYS(fchownat), SCMP_SYS(setxattr),
    SCMP_SYS(lsetxattr), SCMP_SYS(fsetxattr), SCMP_SYS(utime), SCMP_SYS(utimes), SCMP_SYS(utimensat),
    SCMP_SYS(open_by_handle_at),
    // the machine
    SCMP_SYS(mount), SCMP_SYS(umount2), SCMP_SYS(chroot), SCMP_SYS(pivot_root), SCMP_SYS(unshare),
    SCMP_SYS(setns), SCMP_SYS(bpf), SCMP_SYS(userfaultfd), SCMP_SYS(perf_event_open), SCMP_SYS(keyctl),
    SCMP_SYS(add_key), SCMP_SYS(request_key)};

class Filter {
 public:
  Filter() : rules_(seccomp_init(SCMP_ACT_ALLOW)), sound_(rules_ != nullptr) {}
  ~Filter() {
    if (rules_ != nullptr) seccomp_release(rules_);
  }
  Filter(const Filter&) = delete;
  Filter& operator=(const Filter&) = delete;

  /// Refuses the call; with a comparison, where its argument is such.
  template <class... Comparison>
  void refuse(int call, int error, Comparison... where) {
    const int added = sound_ ? seccomp_rule_add(rules_, SCMP_ACT_ERRNO(static_cast<unsigned>(error)), call,
                                                sizeof...(where), where...)
                             : 0;
    // The library's word for a call that this machine does not have.
    sound_ = sound_ && (added == 0 || added == -EDOM);
  }

  bool load() { return sound_ && seccomp_load(rules_) == 0; }

 private:
  scmp_filter_ctx rules_;
  bool sound_;
};

}  // namespace

bool forbid_calls() {
  Filter filter;
  for (const int call : never) filter.refuse(call, EPERM);
  for (const int bit : {O_WRONLY, O_RDWR, O_CREAT, O_TRUNC, O_APPEND, O_TMPFILE & ~O_DIRECTORY}) {
    const auto flag = static_cast<scmp_datum_t>(bit);
    filter.refuse(SCMP_SYS(open), EPERM, scmp_arg_cmp{1, SCMP_CMP_MASKED_EQ, flag, flag});
    filter.refuse(SCMP_SYS(openat), EPERM, scmp_arg_cmp{2, SCMP_CMP_MASKED_EQ, flag, flag});
  }
  // A thread, but no process. These newer calls hide their flags from the filter.
  filter.refuse(SCMP_SYS(clone), EPERM, scmp_arg_cmp{0, SCMP_CMP_MASKED_EQ, CLONE_THREAD, 0});
  filter.refuse(SCMP_SYS(clone3), ENOSYS);
  filter.refuse(SCMP_SYS(openat2), ENOSYS);
  // abort() signals its own process.
  filter.refuse(SCMP_SYS(tgkill), EPERM,
                scmp_arg_cmp{0, SCMP_CMP_NE, static_cast<scmp_datum_t>(getpid()), 0});
  return filter.load();
}

}  // namespace corefeed::geometry
