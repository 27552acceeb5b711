// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/packed_kernels.hpp"

#include <xsimd/xsimd.hpp>

#include <vector>

namespace corefeed {

// Each stands in a source file of its own, compiled for its instruction set.
namespace packed_baseline {
const network::PackedKernels& kernels();
}
#ifdef COREFEED_PACKED_X86
namespace packed_avx2 {
const network::PackedKernels& kernels();
}
namespace packed_avx512 {
const network::PackedKernels& kernels();
}
#endif

namespace cooling {
namespace {

std::vector<const network::PackedKernels*> runnable() {
  std::vector<const network::PackedKernels*> list;
#ifdef COREFEED_PACKED_X86
  const auto machine = xsimd::available_architectures();
  if (machine.avx512f) list.push_back(&packed_avx512::kernels());
  if (machine.avx2) list.push_back(&packed_avx2::kernels());
#endif
  list.push_back(&packed_baseline::kernels());
  return list;
}

}  // namespace

std::span<const network::PackedKernels* const> packed_kernels() {
  static const std::vector<const network::PackedKernels*> list = runnable();
  return list;
}

}  // namespace cooling
}  // namespace corefeed
