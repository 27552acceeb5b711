// SPDX-License-Identifier: Apache-2.0
#include <fcntl.h>
#include <unistd.h>

#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <cerrno>
#include <cstdio>
#include <iostream>
#include <string_view>

#include "cad_bridge/geometry/forbidden_calls.hpp"
#include "cad_bridge/geometry/measure.hpp"
#include "cad_bridge/geometry/worker_protocol.hpp"
#include "cad_bridge/worker/limits.hpp"

/// corefeed-worker: the STEP text on descriptor 0, a request as its argument, the reply on descriptor 1. It
/// is started by the command for each file, so that a file that crashes the kernel takes nothing else along.
/// It installs no signal handlers: the parent reports how it died.
namespace {

/// Moves descriptor 1 out of the kernel's reach, which prints there. -1 on failure.
int divert_output() {
  const int reply = fcntl(STDOUT_FILENO, F_DUPFD_CLOEXEC, 3);
  const int nowhere = open("/dev/null", O_WRONLY | O_CLOEXEC);
  if (reply < 0 || nowhere < 0 || dup2(nowhere, STDOUT_FILENO) < 0) return -1;
  close(nowhere);
  return reply;
}

bool write_all(int descriptor, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t written = write(descriptor, bytes.data(), bytes.size());
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(written));
  }
  return true;
}

}  // namespace

int main(int argc, char** argv) {
  if (!corefeed::worker::limit_this_process_as_told()) return 70;
  const auto request = argc == 2 ? corefeed::geometry::parse_request(argv[1]) : std::nullopt;
  if (!request) {
    std::fputs("corefeed-worker: expected one argument, a measuring request in JSON\n", stderr);
    return 2;
  }
  const int reply = divert_output();
  if (reply < 0) return 70;
  // A system without such a filter still holds the limits.
  corefeed::geometry::forbid_calls();
  Message::DefaultMessenger()->ChangePrinters().Clear();
  std::ios::sync_with_stdio(false);
  const auto measured = corefeed::geometry::measure_step_whole(std::cin, *request);
  return write_all(reply, corefeed::geometry::write_reply(measured)) ? 0 : 6;
}
