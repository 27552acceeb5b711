// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/losses/law.hpp"

namespace corefeed::losses {

/// Keys of one kind that are written down in several lists, in this order.
inline std::vector<Key> joined(const std::vector<std::vector<Key>>& lists) {
  std::vector<Key> all;
  for (const std::vector<Key>& list : lists) all.insert(all.end(), list.begin(), list.end());
  return all;
}

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

/// What the wall is made of, instead of a number for `roughness`.
inline Key wall_key() {
  return {.name = "wall",
          .meaning = "what the wall is made of; gives the roughness",
          .need = Need::optional,
          .choices = {"molded_plastic", "gel_coat", "laminate_tool_side", "laminate_bag_side", "rolled_steel",
                      "galvanized_steel", "cast", "rubber_hose", "flexible_hose_stretched",
                      "flexible_hose_compressed"}};
}

/// Equivalent sand roughness over diameter: of the wall's material where that is given (Idelchik, Handbook of
/// Hydraulic Resistance, ch. 2, and common practice, from memory, +-50 %), else `roughness`. A wire-wound
/// hose is rough in proportion to its bore.
template <class S>
S relative_roughness(const Input<S>& in, std::size_t roughness, std::size_t wall, const Same<S>& diameter) {
  static constexpr std::array<double, 8> height{1.5e-6, 1e-5, 2e-5, 1e-4, 5e-5, 1.5e-4, 2.6e-4, 2e-5};
  static constexpr std::array<double, 2> share{0.03, 0.1};
  if (!in.has(wall)) return in[roughness] / diameter;
  const auto word = static_cast<std::size_t>(in.choice(wall));
  if (word >= height.size()) return S(share[word - height.size()]);
  return height[word] / diameter;
}

inline Rule one_roughness() { return {Rule::Kind::at_most_one, {"roughness", "wall"}}; }

/// A mouth right opposite across the plenum, which catches part of the leaving jet.
inline Key opposite_mouth_key() {
  return {.name = "opposite_mouth",
          .symbol = "x",
          .quantity = units::Quantity::length,
          .meaning =
              "distance across the plenum to the mouth of the next duct that the leaving jet points at; "
              "part of the leaving head carries over",
          .need = Need::optional,
          .lowest = 0.0,
          .spread = {.relative = 0.30},
          .source = "closure of ours",
          .tag = Tag::closure};
}

/// Share of the leaving head that is lost: 1 - 0.5 exp(-x / (4 D)) with a mouth opposite at x (closure of
/// ours).
template <class S>
S jet_lost(const Input<S>& in, std::size_t opposite_mouth, const Same<S>& area) {
  using std::exp;
  if (!in.has(opposite_mouth)) return S(1.0);
  const S decay = exp(S(-in[opposite_mouth] / (4.0 * equivalent_diameter<S>(area))));
  const S lost = 1.0 - 0.5 * decay;
  return lost;
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
