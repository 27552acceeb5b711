// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/result.hpp"

namespace corefeed::studies {

/// Whether a strict check counts this warning as a requirement not met: a number outside its law's range, one
/// that a law had to hold at a limit, or a pressure from beyond the runs it was taken from.
bool counts_when_strict(const Issue& issue);

}  // namespace corefeed::studies
