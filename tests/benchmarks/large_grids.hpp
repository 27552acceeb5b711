// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace corefeed::benchmarks {

/// Grids of up to a million elements, each solved once or a few times, against one factorization of the
/// matrix of their nodes' conductances by CHOLMOD (supernodal, METIS) and by Eigen's SimplicialLDLT, numbers
/// alone. Prints a table as it goes.
void measure_large_grids();

}  // namespace corefeed::benchmarks
