// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/losses/kind.hpp"

namespace corefeed::losses {

/// The key of the loss at an entrance from a plenum, the same for every duct-like kind.
inline Key entrance_loss_key() {
  return {
      .name = "entrance_loss",
      .symbol = "K_in",
      .meaning = "entrance loss on the entrance's dynamic head, paid where the element starts in a plenum",
      .need = Need::standard,
      .standard = 0.5,
      .lowest = 0.0,
      .highest = 2.0,
      .spread = {.relative = 0.10},
      .source = "sharp entrance flush in a wall: Idelchik, Handbook of Hydraulic Resistance, ch. 3",
      .tag = Tag::from_memory,
      .coefficient = true};
}

/// The factor on a law's own coefficient: 1 unless a test of one's own says otherwise; carries the law's
/// band.
inline Key loss_factor_key(double band) {
  return {.name = "loss_factor",
          .symbol = "F",
          .meaning = "factor on the law's coefficient, to fit a test of one's own",
          .need = Need::standard,
          .standard = 1.0,
          .lowest = 0.0,
          .highest = 10.0,
          .spread = {.relative = band},
          .source = "band of the law",
          .tag = Tag::closure,
          .coefficient = true};
}

inline Key roughness_key() {
  return {.name = "roughness",
          .symbol = "e",
          .quantity = units::Quantity::length,
          .meaning = "equivalent sand roughness of the wall",
          .need = Need::standard,
          .standard = 2e-5,
          .lowest = 0.0,
          .spread = {.relative = 0.5},
          .source = "0.02 mm: tool side of a glass or carbon laminate; common practice, no source"};
}

inline Key area_key(std::string_view name, std::string_view symbol, std::string_view meaning,
                    double relative_sigma = 0.0) {
  return {.name = name,
          .symbol = symbol,
          .quantity = units::Quantity::area,
          .meaning = meaning,
          .need = Need::required,
          .lowest = 0.0,
          .above_lowest = true,
          .spread = {.relative = relative_sigma}};
}

}  // namespace corefeed::losses
