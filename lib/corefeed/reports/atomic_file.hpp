// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "corefeed/result.hpp"

namespace corefeed::reports {

/// Writes a whole file or nothing: the content goes to a new file beside the target, reaches the disk and is
/// then renamed, so that a reader sees the old bytes or the new ones and a failure leaves the old ones. A
/// link is followed to the file it names; a pipe or a device is written as it is. Permissions of an older
/// file are kept. Interrupts (SIGINT, SIGTERM, SIGHUP) of the calling thread wait until the new file stands
/// or is gone.
///
/// Returns no issue, or one: cannot_write (status output), naming the path and the system's reason.
std::vector<Issue> write_file(const std::string& path, std::string_view content);

}  // namespace corefeed::reports
