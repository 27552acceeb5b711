// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/kind.hpp"

namespace corefeed::losses {

const Kind& duct_path_kind() {
  static const Kind kind{
      .name = "duct_path",
      .title = "Duct path",
      .meaning =
          "a whole duct as a chain of pieces, measured in CAD or "
          "listed as pieces",
      .keys = {},
      .formula = "the sum of its pieces in series, each by its own law",
      .reference = "each piece its own",
      .reversed = "each piece its own",
      .range = "pieces closer than five diameters influence each other; not reckoned with yet",
      .band = 0.20,
      .source = "the pieces' own",
      .tag = Tag::computed};
  return kind;
}

}  // namespace corefeed::losses
