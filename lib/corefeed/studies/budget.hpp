// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "corefeed/studies/study.hpp"

/// Loss budgets put in words: what eats the head of a core's air.
namespace corefeed::studies {

/// What one thing of the user's eats: an element with its items, or a whole duct with its pieces.
struct Eater {
  std::string name;
  double share = 0;    ///< of the head
  std::string part;    ///< the largest item or piece
  double largest = 0;  ///< share of that
};

/// Largest first; elements of one duct count together.
std::vector<Eater> eaters_of(const Budget& budget);

/// Cores that a quantity's owner speaks of, by place in the network: the core itself with its zones, or those
/// that cool the loop of that name. Empty for anything else.
std::vector<std::size_t> cores_of(const PointResult& point, std::string_view owner);

/// The budget of such a core, or null.
const Budget* budget_of_core(const PointResult& point, std::size_t core);

}  // namespace corefeed::studies
