// SPDX-License-Identifier: Apache-2.0
// measuring_table [NAME ..]   measures the samples and prints the table of docs/measuring.md
#include <fmt/format.h>

#include <cstdio>
#include <string>
#include <vector>

#include "tests/cad_bridge/geometry/accuracy.hpp"

int main(int argc, char** argv) {
  using namespace corefeed::geometry::accuracy;
  const std::vector<std::string> names =
      argc > 1 ? std::vector<std::string>(argv + 1, argv + argc) : sample_names();
  fmt::print("| part | quantity | truth | measured | error | goal |\n|---|---|---|---|---|---|\n");
  int short_of_it = 0;
  for (const std::string& name : names) {
    const Comparison comparison = compare_sample(name);
    for (const Row& row : comparison.rows) {
      fmt::print("{}\n", line(row));
      if (!(row.error <= row.goal)) {
        ++short_of_it;
        fmt::print(stderr, "{}: {} is off by {:.3g}, more than {:.3g}\n", row.part, row.quantity, row.error,
                   row.goal);
      }
    }
    for (const std::string& fault : comparison.faults) fmt::print(stderr, "{}: {}\n", name, fault);
    short_of_it += static_cast<int>(comparison.faults.size());
  }
  return short_of_it == 0 ? 0 : 1;
}
