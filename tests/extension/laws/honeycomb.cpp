// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/law.hpp"

// A kind for tests alone, in the one file that a kind takes: it is on purpose not part of the library.
namespace corefeed::losses {
namespace {

enum : std::size_t { area, cell_depth, loss_factor };

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const Local<S> local = upwind<S>(in, in[area]);
    out.item[0] = in[loss_factor] * 20.0 * in[cell_depth] * local.head;
    out.reported[0] = local.velocity;
  }
};

}  // namespace

const Kind& honeycomb_kind() {
  static const Kind kind{
      .name = "honeycomb",
      .title = "Honeycomb",
      .meaning = "a straightener made for a test",
      .keys = {area_key("area", "A", "area of the duct"),
               {.name = "cell_depth",
                .symbol = "l",
                .quantity = units::Quantity::length,
                .meaning = "depth of the cells along the flow",
                .lowest = 0.0,
                .above_lowest = true},
               loss_factor_key(0.2)},
      .formula = "K = 20 l / 1 m",
      .reference = "own section",
      .reversed = "the same with the other sign",
      .range = "depths up to 0.1 m",
      .ranges = {{"cell_depth", 0.0, 0.1, "is deeper than was tested"}},
      .band = 0.2,
      .source = "invented for a test",
      .tag = Tag::closure,
      .reported = {{"velocity", units::Quantity::velocity, "mean velocity"}},
      .items = {"honeycomb"},
      .law = law_of<Formula>(),
      .example = {.numbers = {{"area", 0.04}, {"cell_depth", 0.05}}, .velocity = 10.0, .area = 0.04}};
  return kind;
}

}  // namespace corefeed::losses
