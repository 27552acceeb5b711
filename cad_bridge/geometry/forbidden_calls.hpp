// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What the measuring program may not do, whatever a file makes of it: start programs or processes, open a
/// socket, write, create, rename or delete a file, signal or look into another process. Reading, memory,
/// threads and the pipes that are open already are all it needs.
namespace corefeed::geometry {

/// From here on the system refuses these calls of this process (EPERM; ENOSYS where the C library then takes
/// an older way). There is no way back. False where the system has no such filter (seccomp).
bool forbid_calls();

}  // namespace corefeed::geometry
