// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <array>

#include "corefeed/model/build.hpp"
#include "corefeed/model/reader.hpp"

/// Where the heat of a loop comes from: given, or a share of the engine's shaft power.
namespace corefeed::model {
namespace {

using units::Quantity;

struct Rule {
  std::string_view name;
  double share;
};

/// Shares of the shaft power at full load: coolant 0.45 to 0.65 of a naturally aspirated and 0.35 to 0.50 of
/// a turbocharged engine, oil 0.08 to 0.15, charge cooler 0.10 to 0.20. Common practice, no source.
constexpr std::array<Rule, 4> rules{{{"coolant_naturally_aspirated", 0.55},
                                     {"coolant_turbocharged", 0.42},
                                     {"oil", 0.115},
                                     {"charge_air", 0.15}}};
constexpr double rule_spread = 0.20;

void read_share(Reader& reader, const Spot& spot, Loop& loop) {
  const losses::Key key{.name = "", .meaning = "the share of the shaft power", .lowest = 0.0, .highest = 1.5};
  const auto share = reader.number(spot, Quantity::number, &loop.heat_share_band);
  if (share && reader.within(spot, *share, key)) loop.heat_share = *share;
}

void read_rule(Reader& reader, const Spot& spot, Loop& loop) {
  std::vector<std::string_view> names;
  for (const Rule& rule : rules) names.push_back(rule.name);
  const auto chosen = reader.choice(spot, names);
  if (!chosen) return;
  const double share = rules[*chosen].share;
  loop.heat_share = share;
  loop.heat_share_band = {rule_spread * share,
                          "share of the shaft power at full load, common practice, no source"};
  loop.share_by_rule = true;
}

}  // namespace

std::vector<std::string_view> heat_rules() {
  std::vector<std::string_view> names;
  for (const Rule& rule : rules) names.push_back(rule.name);
  return names;
}

void read_heat(Reader& reader, const Spot& object, Loop& loop) {
  const Spot load = Reader::member(object, "heat_load");
  const Spot share = Reader::member(object, "heat_share");
  const Spot rule = Reader::member(object, "heat_rule");
  const int given = int(bool(load)) + int(bool(share)) + int(bool(rule));
  if (given > 1) {
    reader.error(object.pointer, "conflicting_keys",
                 "heat_load, heat_share and heat_rule say the same; keep one of them");
  } else if (given == 0 && !loop.is_network) {
    reader.required(object, "heat_load",
                    "heat that the loop takes up (or heat_share, heat_rule: a share of the shaft power)");
  }
  if (load) {
    const losses::Key key{.name = "", .quantity = Quantity::power, .meaning = "the heat load", .lowest = 0.0};
    const auto number = reader.number(load, Quantity::power, &loop.heat_load_band);
    if (number && reader.within(load, *number, key)) loop.heat_load = *number;
  }
  if (share) read_share(reader, share, loop);
  if (rule) read_rule(reader, rule, loop);
}

void check_heat(Reader& reader, const Model& model) {
  for (const Loop& loop : model.loops) {
    if (!loop.heat_share) continue;
    for (const Point& point : model.points) {
      if (point.shaft_power || point.heat_load.contains(loop.name)) continue;
      reader.error(point.pointer, "missing_key",
                   fmt::format("the heat of the loop {} is a share of the engine's power; give the point {} "
                               "its \"shaft_power\", such as \"180 kW\"",
                               quoted(loop.name), quoted(point.name)));
    }
  }
}

double heat_of(const Loop& loop, const Point& point) {
  const auto own = point.heat_load.find(loop.name);
  if (own != point.heat_load.end()) return own->second;
  return loop.heat_share ? *loop.heat_share * point.shaft_power.value_or(0.0) : loop.heat_load;
}

double heat_sigma(const Loop& loop, const Point& point) {
  // Measured heat loads are known to 10 %: common practice, no source.
  const bool shared = loop.heat_share && !point.heat_load.contains(loop.name);
  if (!shared) return loop.heat_load_band.sigma.value_or(0.10 * heat_of(loop, point));
  const double relative = loop.heat_share_band.sigma.value_or(0.10 * *loop.heat_share);
  return relative * point.shaft_power.value_or(0.0);
}

}  // namespace corefeed::model
