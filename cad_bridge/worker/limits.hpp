// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <sys/types.h>

#include <cstdint>
#include <string>

#include "cad_bridge/worker/step_prescan.hpp"

/// What the measuring program may use. The parent sets the limits from outside as soon as it has started the
/// program, and the program sets them again in its first lines, so that neither has to trust the other.
namespace corefeed::worker {

struct WorkerLimits {
  std::uint64_t memory = std::uint64_t{4} << 30;  ///< bytes of address space; 0 for no limit
  std::uint64_t cpu_seconds = 60;                 ///< 0 for no limit
  std::uint64_t open_files = 64;
  double wall_seconds = 90;  ///< kept by the parent
  std::uint64_t reply_bytes = std::uint64_t{64} << 20;
  PrescanLimits prescan;
};

/// Status with which the measuring program ends when memory runs out.
inline constexpr int out_of_memory_status = 97;

/// Limits memory, processor time and open files of a process, forbids it to write files or to leave a core
/// dump. 0 is the calling process. False if the system refuses.
bool limit_process(pid_t process, const WorkerLimits& limits);

/// For the first lines of the measuring program: the limits above; the end of the program when the thread
/// that started it ends; no further rights by other programs; and the end with `out_of_memory_status` when
/// `new` finds no memory.
bool limit_this_process(const WorkerLimits& limits);

/// `limit_this_process` with the limits that the parent gave in the environment (the defaults if it gave
/// none). Also false when the parent has ended in the meantime.
bool limit_this_process_as_told();

/// The environment entry that carries the limits: "COREFEED_WORKER_LIMITS=memory,cpu,files,parent".
std::string limits_entry(const WorkerLimits& limits);

}  // namespace corefeed::worker
