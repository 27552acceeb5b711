// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>

#include "corefeed/network/packed.hpp"

/// Which kernels this machine can run. Private to the library's sources.
namespace corefeed::cooling {

/// All that it can, the widest first; at least one.
std::span<const network::PackedKernels* const> packed_kernels();

}  // namespace corefeed::cooling
