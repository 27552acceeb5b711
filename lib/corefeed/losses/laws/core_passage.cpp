// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/bore.hpp"
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/liquid_core.hpp"

namespace corefeed::losses {
namespace {

using namespace passage;
using units::Quantity;

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const S area = circle_area<S>(in[bore]);
    const Local<S> local = upwind<S>(in, area);
    out.item[0] = in.has(loss) ? S(in[loss] * local.head) : S(0.0);
    out.item[1] = in.tube_loss;
    if (out.loss_alone) return;
    out.reported[0] = local.velocity;
    out.reported[1] = in.mass_flow / local.density;
  }
};

/// A length inside an object that stands as a whole or not at all.
Key inner_length(std::string_view name, std::string_view symbol, std::string_view meaning,
                 double relative_sigma = 0.0) {
  return {.name = name,
          .symbol = symbol,
          .quantity = Quantity::length,
          .meaning = meaning,
          .need = Need::optional,
          .lowest = 0.0,
          .above_lowest = true,
          .spread = {.relative = relative_sigma}};
}

Spread heat_spread(const Values& values) { return {.relative = values.has(spacing) ? 0.35 : 0.20}; }
Spread friction_spread(const Values& values) { return {.relative = values.has(spacing) ? 0.20 : 0.10}; }

std::vector<Key> passage_keys() {
  return {
      {.name = "core", .meaning = "the core of the air side whose liquid this is", .refers = Refers::core},
      {.name = "passes",
       .symbol = "n",
       .meaning = "how often the liquid crosses the core",
       .need = Need::standard,
       .standard = 1.0,
       .lowest = 1.0,
       .highest = 12.0},
      {.name = "pass_layout",
       .meaning = "passes side by side in the face, each with air of its own, or behind each other in the "
                  "depth, the last where the air comes in",
       .need = Need::standard,
       .standard = 0,
       .choices = {"face", "depth"}},
      bore_key("inner diameter of the ports", 0.01),
      {.name = "loss",
       .symbol = "K",
       .meaning = "loss coefficient of the whole liquid side on the head in the ports, where no tubes are "
                  "told",
       .need = Need::optional,
       .lowest = 0.0,
       .spread = {.relative = 0.15},
       .source = "common practice, no source"},
      {.name = "port_loss",
       .symbol = "K_p",
       .meaning = "loss coefficient of both ports together on their head",
       .need = Need::standard,
       .standard = 2.0,
       .lowest = 0.0,
       .spread = {.relative = 0.25},
       .source = "1.0 in and 1.0 out; common practice, no source"},
      {.name = "return_area",
       .symbol = "A_r",
       .quantity = Quantity::area,
       .meaning = "section of a return tank between two passes",
       .need = Need::optional,
       .lowest = 0.0,
       .above_lowest = true},
      {.name = "return_loss",
       .symbol = "K_r",
       .meaning = "loss coefficient of one return tank on its own head",
       .need = Need::standard,
       .standard = 1.5,
       .lowest = 0.0,
       .spread = {.relative = 0.25},
       .source = "common practice, no source"}};
}

std::vector<Key> tube_keys() {
  return {{.name = "tubes.number",
           .symbol = "N",
           .meaning = "tubes of the whole core",
           .need = Need::optional,
           .lowest = 1.0},
          inner_length("tubes.length", "L", "length of a tube, one pass"),
          inner_length("tubes.width", "w", "inner width of a flat tube; inner diameter of a round one"),
          inner_length("tubes.height", "h_t", "inner height of a flat tube"),
          {.name = "tubes.section",
           .meaning = "form of the tube: slow flow goes by its sides' ratio, as in an endless slot, or round",
           .need = Need::standard,
           .standard = 0,
           .choices = {"rectangular", "flat", "round"}},
          {.name = "tubes.roughness",
           .symbol = "e",
           .quantity = Quantity::length,
           .meaning = "equivalent sand roughness of the tubes",
           .need = Need::standard,
           .standard = 1.5e-6,
           .lowest = 0.0,
           .source = "drawn metal: Idelchik, Handbook of Hydraulic Resistance, ch. 2"}};
}

std::vector<Key> turbulator_keys() {
  return {
      inner_length("turbulator.spacing", "s", "clear width between the strips of a turbulator"),
      inner_length("turbulator.height", "h", "clear height of the strips"),
      inner_length("turbulator.strip_length", "l", "length of a strip along the flow"),
      inner_length("turbulator.thickness", "t", "thickness of the strips"),
      {.name = "turbulator.surface_efficiency",
       .symbol = "eta_o",
       .meaning = "efficiency of the turbulator's whole surface",
       .need = Need::standard,
       .standard = 0.85,
       .lowest = 0.0,
       .highest = 1.0,
       .above_lowest = true,
       .source = "aluminum strips in oil, common practice, no source"},
      {.name = "headers",
       .meaning = "whether the liquid leaves the second header on the side where it entered the first (U) "
                  "or on the far one (I)",
       .need = Need::standard,
       .standard = 0,
       .choices = {"U", "I"}},
      {.name = "header_area",
       .symbol = "A_h",
       .quantity = Quantity::area,
       .meaning = "section of a header; with it the result tells how evenly the tubes are fed",
       .need = Need::optional,
       .lowest = 0.0,
       .above_lowest = true},
      inner_length("header_tube_pitch", "p_t", "distance from tube to tube along the header"),
      {.name = "heat_factor",
       .symbol = "F_h",
       .meaning = "factor on the heat transfer inside the tubes, to fit a test of one's own",
       .need = Need::standard,
       .standard = 1.0,
       .lowest = 0.0,
       .highest = 10.0,
       .above_lowest = true,
       .spread_of = &heat_spread,
       .source = "band of the tubes' laws: 20 % plain, 35 % with a turbulator in oil",
       .tag = Tag::from_memory,
       .coefficient = true},
      {.name = "friction_factor",
       .symbol = "F_f",
       .meaning = "factor on the loss inside the tubes, to fit a test of one's own",
       .need = Need::standard,
       .standard = 1.0,
       .lowest = 0.0,
       .highest = 10.0,
       .spread_of = &friction_spread,
       .source = "band of the tubes' laws: 10 % plain, 20 % with a turbulator",
       .tag = Tag::from_memory,
       .coefficient = true}};
}

std::vector<Key> keys() {
  std::vector<Key> all = passage_keys();
  for (Key& key : tube_keys()) all.push_back(key);
  for (Key& key : turbulator_keys()) all.push_back(key);
  return all;
}

std::string contradiction(const Values& values) {
  const double n = values.number[passes];
  if (n != static_cast<int>(n)) return "passes is not a whole number";
  if (!values.has(tubes)) return "";
  const double all = values.number[tubes];
  if (all != static_cast<int>(all)) return "tubes.number is not a whole number";
  if (static_cast<int>(values.number[section]) != Section::round && !values.has(height))
    return "a flat tube needs tubes.height";
  if (n > 1.0 && !values.has(return_area)) return "tubes in several passes need return_area";
  if (n > all) return "there are more passes than tubes";
  return "";
}

std::vector<Rule> rules() {
  return {{Rule::Kind::exactly_one, {"loss", "tubes.number"}},
          {Rule::Kind::needs, {"tubes.number", "tubes.length", "tubes.width"}},
          {Rule::Kind::needs, {"tubes.length", "tubes.number"}},
          {Rule::Kind::needs,
           {"turbulator.spacing", "turbulator.height", "turbulator.strip_length", "turbulator.thickness",
            "tubes.number"}},
          {Rule::Kind::needs, {"turbulator.height", "turbulator.spacing"}},
          {Rule::Kind::needs, {"header_area", "header_tube_pitch", "tubes.number"}}};
}

}  // namespace

const Kind& core_passage_kind() {
  static const Kind kind{
      .name = "core_passage",
      .title = "Core, liquid side",
      .meaning = "the liquid side of a core: tubes or a known loss, in one or several passes",
      .word = "core",
      .carries = Carries::liquid,
      .keys = keys(),
      .rules = rules(),
      .formula =
          "dp = K q in the ports, or from the tubes: F_f n f L/D_h q (mu_w/mu)^0.25 + K_p q in the ports + "
          "(n - 1) K_r q in the return tanks; h of the tubes by Sieder & Tate, Gnielinski or offset strips, "
          "times F_h (mu/mu_w)^0.14; passes in the face march through zones of their own air, passes in the "
          "depth run against it",
      .reference = "ports' bore; tubes' own sections, liquid at its mean temperature",
      .reversed = "the same with the other sign",
      .range =
          "laminar to turbulent tubes, offset strips from Reynolds number 120; below it absolute values "
          "are known to 35 %",
      .band = 0.10,
      .source =
          "Churchill 1977; Sieder & Tate 1936; Gnielinski 1976; Manglik & Bergles 1995, Exp. Thermal Fluid "
          "Sci. 10:171; passes: Kays & London, Compact Heat Exchangers, 1984",
      .tag = Tag::from_memory,
      .contradiction = &contradiction,
      .reported = {{"velocity", Quantity::velocity, "mean velocity in the ports"},
                   {"volume_flow", Quantity::volume_flow, "volume flow"}},
      .items = {"liquid side", "tubes, ports and returns"},
      .heated = true,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"bore", 0.0142}, {"loss", 12.0}}, .velocity = 2.0, .area = 0.000158368}};
  return kind;
}

}  // namespace corefeed::losses
