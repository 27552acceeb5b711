// SPDX-License-Identifier: Apache-2.0
#include <set>

#include "cad_bridge/proposal/propose.hpp"
#include "tests/fuzz/oracle.hpp"

/// Binding files, which tell a proposal what the parts are: what is accepted names a part and a known role in
/// every row.
namespace corefeed::fuzz {

void run(std::string_view bytes) {
  static const ScratchFolder folder;
  static const std::set<std::string> roles{"duct", "core", "vent", "inlet", "bay", "ignore"};
  const Result<proposal::Binding> read = proposal::read_binding(folder.write("binding.json", bytes));
  if (!read) return require_sound(read.issues(), bytes);
  for (const proposal::Binding::Row& row : read.value().rows) {
    require(!row.part.empty(), "a row names a part");
    require(roles.count(row.as) == 1, "a row names a role");
    require(row.pointer.starts_with("/parts/"), "a row knows where it stands");
  }
}

}  // namespace corefeed::fuzz
