// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/core.hpp"

#include "corefeed/losses/end_keys.hpp"

namespace corefeed::losses {
namespace {

using namespace core;
using units::Quantity;

enum TestedBy { by_velocity, by_volume, by_mass };

const CurveForm& loss_form() {
  static const CurveForm form{
      .abscissas = {{"face_velocity", Quantity::velocity, "velocity on the face in the test"},
                    {"volume_flow", Quantity::air_flow, "volume flow of air in the test"},
                    {"mass_flow", Quantity::mass_flow, "mass flow of air in the test"}},
      .ordinate = {"pressure_loss", Quantity::pressure_difference, "pressure drop of the cold core"},
      .least_points = 4,
      .from_origin = true,
      .rising = true};
  return form;
}

const CurveForm& heat_form() {
  static const CurveForm form{
      .abscissas = {{"air_flow", Quantity::mass_flow, "mass flow of air"},
                    {"face_velocity", Quantity::velocity, "velocity of the air on the face"}},
      .ordinate = {"heat", Quantity::power, "heat from liquid to air"},
      .beside = {{{"liquid_flow", Quantity::mass_flow, "mass flow of the liquid"},
                  {"liquid_volume_flow", Quantity::volume_flow, "volume flow of the liquid"}},
                 {{"inlet_difference", Quantity::temperature_difference, "liquid in over air in"}}},
      .least_points = 1};
  return form;
}

/// Face velocity over the largest tested one, or 0 where nothing was tested.
template <class S>
S share_of_test(const Input<S>& in, const Face<S>& face) {
  if (!in.has(tested_points)) return S(0.0);
  const Curve& curve = in.curve(tested_points);
  const S velocity = face.magnitude / face.density_in;
  const S area = area_of<S>(in);
  switch (curve.abscissa()) {
    case by_velocity:
      return velocity / curve.last();
    case by_volume:
      return velocity * area / curve.last();
    default:
      return velocity * area * in[tested_density] / curve.last();
  }
}

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const Face<S> face = face_state<S>(in);
    const MatrixLoss<S> matrix = matrix_loss<S>(in, face);
    const S core_loss = face_loss<S>(face, matrix, in.forward());
    const S computed = unevenness<S>(in, core_loss);
    const S charged = charged_unevenness<S>(in, computed);
    const S uneven = 1.0 + charged * charged;
    out.item[0] = matrix.linear + uneven * matrix.quadratic;
    out.item[1] = matrix.heating;
    out.item[2] = turning_loss<S>(in, face);
    const S leaving = face.flux * face.magnitude / (2.0 * face.density_out);
    const double dumped_onward = in.to_plenum ? 1.0 : 0.0;
    const double dumped_back = in.from_plenum ? 1.0 : 0.0;
    out.item[3] = select<S>(in.forward(), S(dumped_onward * leaving), S(dumped_back * leaving));
    if (out.loss_alone) return;
    out.reported[0] = face.flux / face.density_in;
    out.reported[1] = core_loss;
    // Switched off for loss and heat, what the diffuser would make of the face is still worth knowing.
    out.reported[2] = select<S>(above<S>(charged, S(0.0)), charged, computed);
    if (in.has(fin_pitch)) {
      const S viscosity_now = in.outside->air.viscosity(face.temperature_mean);
      out.reported[3] = with_fin<S>(
          in, [&](const auto& fin) { return fin_reynolds<S>(fin, face.magnitude, viscosity_now); });
    }
    out.reported[4] = share_of_test<S>(in, face);
    if (in.has(louvre_pitch)) {
      out.reported[5] = with_fin<S>(in, [](const auto& fin) { return S(branch_step(fin)); });
    }
  }

  /// Air that arrives at an angle is turned into the passages: K = 0.5 tan^2 i on the normal head.
  template <class S>
  static S turning_loss(const Input<S>& in, const Face<S>& face) {
    using std::tan;
    const S slope = tan(in[incidence]);
    const S coefficient = in[incidence_factor] * slope * slope;
    const S head = face.flux * face.magnitude / (2.0 * face.density_in);
    const S loss = coefficient * head;
    return loss;
  }
};

Key test_density(std::string_view name) {
  return {.name = name,
          .symbol = "rho_ref",
          .quantity = Quantity::density,
          .meaning = "density of the air in the test",
          .need = Need::standard,
          .standard = 1.2,
          .lowest = 0.0,
          .above_lowest = true,
          .source = "standard air, common practice, no source"};
}

Key test_viscosity(std::string_view name) {
  return {.name = name,
          .symbol = "mu_ref",
          .quantity = Quantity::dynamic_viscosity,
          .meaning = "viscosity of the air in the test",
          .need = Need::standard,
          .standard = 1.81e-5,
          .lowest = 0.0,
          .above_lowest = true,
          .source = "air at 20 degC"};
}

Key tested_by_key(std::string_view name, std::string_view meaning) {
  return {.name = name,
          .meaning = meaning,
          .need = Need::standard,
          .standard = 0,
          .choices = {"supplier", "own_rig"}};
}

Key length_key(std::string_view name, std::string_view symbol, std::string_view meaning, double highest) {
  return {.name = name,
          .symbol = symbol,
          .quantity = Quantity::length,
          .meaning = meaning,
          .need = Need::optional,
          .lowest = 0.0,
          .highest = highest,
          .above_lowest = true};
}

std::string_view fin_friction_source(const Values& values) {
  switch (static_cast<int>(values.number[fin_style])) {
    case offset_strip:
      return offset_strip_source.reference;
    case plain:
      return "Shah & London 1978 laminar, Churchill 1977 turbulent";
    default:
      return louver_friction_source.reference;
  }
}

std::string_view fin_heat_source(const Values& values) {
  switch (static_cast<int>(values.number[fin_style])) {
    case offset_strip:
      return offset_strip_source.reference;
    case plain:
      return "Hausen 1943 laminar, Gnielinski 1976 turbulent";
    default:
      return louver_heat_source.reference;
  }
}

std::vector<Key> loss_keys() {
  return {area_key("face_area", "A", "area of the core's face"),
          {.name = "air_loss.linear",
           .symbol = "a",
           .quantity = Quantity::linear_loss,
           .meaning = "linear coefficient of the pressure drop over face velocity, cold test",
           .need = Need::optional,
           .lowest = 0.0,
           .spread = {.relative = 0.08},
           .source = "supplier's curve, common practice, no source"},
          {.name = "air_loss.quadratic",
           .symbol = "b",
           .quantity = Quantity::quadratic_loss,
           .meaning = "quadratic coefficient of the pressure drop over face velocity, cold test",
           .need = Need::optional,
           .lowest = 0.0,
           .spread = {.relative = 0.06},
           .source = "supplier's curve, common practice, no source"},
          test_density("air_loss.density"),
          test_viscosity("air_loss.viscosity"),
          {.name = "tested.points",
           .meaning = "the tested pressure drop of the cold core; a and b are fitted to it",
           .need = Need::optional,
           .curve = &loss_form()},
          test_density("tested.density"),
          test_viscosity("tested.viscosity"),
          tested_by_key("tested.by",
                        "who tested the pressure drop: 8 % of a and 6 % of b, half on a rig of one's own"),
          {.name = "tested.with",
           .meaning = "what the test took in; a shroud or grille is then no element beside the core",
           .need = Need::standard,
           .standard = 0,
           .choices = {"core_alone", "shroud_or_grille"}},
          {.name = "porous.permeability",
           .symbol = "k_p",
           .quantity = Quantity::permeability,
           .meaning = "permeability on the face velocity, dp/L = mu v/k_p + F rho v^2",
           .need = Need::optional,
           .lowest = 0.0,
           .above_lowest = true,
           .spread = {.relative = 0.08},
           .source = "as the tested curve behind it, common practice, no source"},
          {.name = "porous.forchheimer_coefficient",
           .symbol = "F",
           .quantity = Quantity::per_length,
           .meaning = "quadratic coefficient over length, without a factor 1/2 and on the face velocity",
           .need = Need::optional,
           .lowest = 0.0,
           .spread = {.relative = 0.08},
           .source = "as the tested curve behind it, common practice, no source"},
          length_key("porous.depth", "L", "depth of the porous core along the air", 0.5)};
}

std::vector<Key> fin_keys() {
  return {{.name = "fins.style",
           .meaning = "kind of fin; their geometry gives pressure loss and air-side heat where no test does",
           .need = Need::optional,
           .choices = {"louvred", "offset_strip", "plain"}},
          length_key("fins.fin_pitch", "F_p", "from fin to fin", 5e-3),
          length_key("fins.fin_height", "F_l", "height of the fin from tube to tube", 30e-3),
          length_key("fins.fin_thickness", "d_f", "thickness of the fin's sheet", 0.3e-3),
          length_key("fins.tube_pitch", "T_p", "from tube to tube (from layer to layer)", 60e-3),
          length_key("fins.tube_thickness", "D_m", "thickness of the tube across the air", 20e-3),
          length_key("fins.depth", "T_d", "depth of fin and tube along the air", 0.2),
          length_key("fins.louvre_pitch", "L_p", "from louver to louver along the air", 5e-3),
          {.name = "fins.louvre_angle",
           .symbol = "theta",
           .quantity = Quantity::angle,
           .meaning = "angle of the louvers to the air",
           .need = Need::optional,
           .lowest = 0.0,
           .highest = 0.8,
           .above_lowest = true},
          length_key("fins.louvre_length", "L_l", "length of the louver cut, across the air", 30e-3),
          length_key("fins.strip_length", "l", "length of an offset strip along the air", 50e-3),
          {.name = "fins.conductivity",
           .symbol = "k_f",
           .quantity = Quantity::conductivity,
           .meaning = "thermal conductivity of the fin",
           .need = Need::standard,
           .standard = 200.0,
           .lowest = 0.0,
           .above_lowest = true,
           .source = "aluminum, 180 to 220 W/(m K), common practice, no source"},
          {.name = "fins.loss_factor",
           .symbol = "F_f",
           .meaning = "factor on the fins' friction, to fit a test of one's own",
           .need = Need::standard,
           .standard = 1.0,
           .lowest = 0.0,
           .highest = 5.0,
           .spread = {.relative = 0.20},
           .source = "band of the friction laws",
           .coefficient = true},
          {.name = "free_flow_ratio",
           .symbol = "sigma_c",
           .meaning = "free-flow area over face area; that of the fins where they are known",
           .need = Need::standard,
           .standard = 0.78,
           .lowest = 0.0,
           .highest = 1.0,
           .above_lowest = true,
           .source = "louvred-fin cores, common practice, no source"},
          {.name = "exit_coefficient",
           .symbol = "K_e",
           .meaning = "exit loss coefficient of the passages; that of the fins where they are known",
           .need = Need::standard,
           .standard = 0.05,
           .lowest = 0.0,
           .highest = 1.0,
           .source = "(1 - sigma_c)^2 for interrupted fins: Kays & London, Compact Heat Exchangers",
           .tag = Tag::from_memory}};
}

std::vector<Key> face_keys() {
  std::vector<Key> list{
      {.name = "face_maldistribution",
       .symbol = "g_c",
       .meaning =
           "rms over mean of the face velocity used for loss and heat; 0 switches it off, absent: from "
           "the diffuser before the core or the fan behind it",
       .need = Need::optional,
       .lowest = 0.0,
       .highest = 2.0,
       .spread = {.relative = 0.40},
       .source = "closure of ours",
       .tag = Tag::closure},
      {.name = "incidence",
       .symbol = "i",
       .quantity = Quantity::angle,
       .meaning = "angle between the arriving air and the core's normal",
       .need = Need::standard,
       .standard = 0.0,
       .lowest = 0.0,
       .highest = 1.2},
      {.name = "incidence_factor",
       .symbol = "k_i",
       .meaning = "turning loss over tan^2 i; 0.3 for fins parallel to the plane of incidence, 0.75 for "
                  "louvers that have to turn the air back",
       .need = Need::standard,
       .standard = 0.5,
       .lowest = 0.0,
       .spread = {.relative = 0.50},
       .source = "closure of ours, agrees with inclined cooling-tower bundles (Kroger 2004)",
       .tag = Tag::closure,
       .coefficient = true},
      {.name = "fan_shadow.shroud_area",
       .symbol = "A_s",
       .quantity = Quantity::area,
       .meaning = "face under the shroud of a fan close behind the core",
       .need = Need::optional,
       .lowest = 0.0,
       .above_lowest = true},
      {.name = "fan_shadow.fan_area",
       .symbol = "A_fan",
       .quantity = Quantity::area,
       .meaning = "disc of that fan",
       .need = Need::optional,
       .lowest = 0.0,
       .above_lowest = true},
      {.name = "fan_shadow.gap",
       .symbol = "s_fan",
       .quantity = Quantity::length,
       .meaning = "distance from the core to the fan's blades",
       .need = Need::optional,
       .lowest = 0.0}};
  for (Key& key : list) key.own_of_part = true;
  return list;
}

Key conductance(std::string_view name, std::string_view symbol, std::string_view meaning) {
  return {.name = name,
          .symbol = symbol,
          .quantity = Quantity::conductance,
          .meaning = meaning,
          .need = Need::optional,
          .lowest = 0.0,
          .above_lowest = true};
}

Key reference_flow(std::string_view name, std::string_view symbol) {
  return {.name = name,
          .symbol = symbol,
          .quantity = Quantity::mass_flow,
          .meaning = "mass flow at which the conductance holds",
          .need = Need::optional,
          .lowest = 0.0,
          .above_lowest = true};
}

Key exponent(std::string_view name, std::string_view symbol, double standard, std::string_view source) {
  return {.name = name,
          .symbol = symbol,
          .meaning = "exponent of the conductance over mass flow",
          .need = Need::standard,
          .standard = standard,
          .lowest = 0.0,
          .highest = 1.0,
          .source = source};
}

std::vector<Key> conductance_keys() {
  return {
      conductance("air_conductance.value", "hA_a", "heat conductance of the air side, fins included"),
      reference_flow("air_conductance.flow", "m_a0"),
      exponent("air_conductance.exponent", "n_a", 0.5, "louvred fins, common practice, no source"),
      conductance("liquid_conductance.value", "hA_l", "heat conductance of the liquid side"),
      reference_flow("liquid_conductance.flow", "m_l0"),
      exponent("liquid_conductance.exponent", "n_l", 0.8, "turbulent tube flow; 0.33 when laminar"),
      {.name = "tested_heat.points",
       .meaning = "the tested heat; both conductances are fitted to it. One point is shared 80 to 20 between "
                  "air and coolant, 50 to 50 between air and oil",
       .need = Need::optional,
       .curve = &heat_form()},
      test_density("tested_heat.density"),
      {.name = "tested_heat.liquid_temperature",
       .symbol = "T_l",
       .quantity = Quantity::temperature,
       .meaning = "mean temperature of the liquid in the test, for its properties",
       .need = Need::standard,
       .standard = 363.15,
       .lowest = 253.15,
       .highest = 473.15,
       .source = "90 degC, common practice, no source"},
      {.name = "tested_heat.glycol_share",
       .meaning = "the test ran on water with this share of ethylene glycol by volume (0: water), from which "
                  "the liquid side is taken to the loop's own liquid; absent: it ran on the loop's liquid",
       .need = Need::optional,
       .lowest = 0.0,
       .highest = 0.6},
      {.name = "tested_heat.liquid_exponent",
       .symbol = "n_l",
       .meaning = "exponent of the liquid side over mass flow in the fit; 0.8, of an oil 0.35, if absent",
       .need = Need::optional,
       .lowest = 0.2,
       .highest = 1.0},
      tested_by_key("tested_heat.by",
                    "who tested the heat: 8 % of the overall conductance, half on a rig of one's own")};
}

/// 1-sigma of the overall conductance by how the air side is known.
Spread conductance_spread(const Values& values) { return {.relative = values.has(air_value) ? 0.08 : 0.15}; }

std::vector<Key> heat_keys() {
  return {
      {.name = "heat_transfer",
       .symbol = "F_UA",
       .meaning = "factor on the overall conductance, to fit a test of one's own",
       .need = Need::standard,
       .standard = 1.0,
       .lowest = 0.0,
       .highest = 5.0,
       .spread = {.relative = 0.08},
       .spread_of = &conductance_spread,
       .source =
           "8 % tested conductances, 15 % where the fins' geometry gives the air side; common practice, "
           "no source",
       .coefficient = true},
      {.name = "arrangement",
       .meaning = "how the streams run",
       .need = Need::standard,
       .standard = 0,
       .choices = {"crossflow_both_unmixed", "crossflow_air_mixed", "crossflow_liquid_mixed", "counterflow",
                   "parallel_flow"}},
      {.name = "liquid_share",
       .symbol = "y",
       .meaning = "share of the loop's flow through this core; equal shares if absent",
       .need = Need::optional,
       .lowest = 0.0,
       .highest = 1.0,
       .above_lowest = true},
      {.name = "loop",
       .meaning = "the loop that this core cools",
       .need = Need::optional,
       .refers = Refers::loop},
      {.name = "part_of",
       .meaning = "the core that this one is a zone of, with the air of its own between its own nodes; all "
                  "numbers are that core's, whose own ends are those of what its zones leave of it",
       .need = Need::optional,
       .refers = Refers::whole,
       .own_of_part = true},
      {.name = "share",
       .symbol = "y_z",
       .meaning = "share of that core's face, tubes and liquid in this zone",
       .need = Need::optional,
       .lowest = 0.0,
       .highest = 0.999,
       .above_lowest = true,
       .own_of_part = true}};
}

std::vector<Key> keys() {
  return joined({loss_keys(), fin_keys(), face_keys(), conductance_keys(), heat_keys()});
}

std::vector<Rule> rules() {
  using Kind = Rule::Kind;
  return {
      {Kind::any_of, {"air_loss", "tested", "porous", "fins"}},
      {Kind::at_most_one, {"air_loss", "tested", "porous"}},
      {Kind::needs, {"air_loss", "air_loss.linear", "air_loss.quadratic"}},
      {Kind::needs, {"tested", "tested.points"}},
      {Kind::needs, {"porous", "porous.permeability", "porous.forchheimer_coefficient", "porous.depth"}},
      {Kind::needs,
       {"fins", "fins.style", "fins.fin_pitch", "fins.fin_height", "fins.fin_thickness", "fins.tube_pitch",
        "fins.depth"}},
      {Kind::needs, {"fan_shadow", "fan_shadow.shroud_area", "fan_shadow.fan_area", "fan_shadow.gap"}},
      {Kind::needs, {"air_conductance", "air_conductance.value", "air_conductance.flow", "loop"}},
      {Kind::needs, {"liquid_conductance", "liquid_conductance.value", "liquid_conductance.flow", "loop"}},
      {Kind::needs, {"tested_heat", "tested_heat.points", "loop"}},
      {Kind::at_most_one, {"air_conductance", "tested_heat"}},
      {Kind::at_most_one, {"liquid_conductance", "tested_heat"}},
      {Kind::needs_one, {"loop", "air_conductance", "tested_heat", "fins"}},
      {Kind::needs, {"part_of", "share"}},
      {Kind::needs, {"share", "part_of"}}};
}

/// What the style of the fins asks for, and how their lengths fit.
std::string contradiction(const Values& values) {
  if (!values.has(fin_pitch)) return "";
  const auto length = [&values](std::size_t key) { return values.number[key]; };
  const auto style = static_cast<int>(length(fin_style));
  const bool cut = values.has(louvre_pitch) && values.has(louvre_angle) && values.has(louvre_length);
  if (style == louvred && !(cut && values.has(tube_thickness))) {
    return "louvred fins need louvre_pitch, louvre_angle, louvre_length and tube_thickness beside the rest";
  }
  if (style == offset_strip && !values.has(strip_length)) return "offset_strip fins need strip_length";
  if (length(fin_thickness) >= length(fin_pitch)) {
    return "the fins are as thick as their pitch; check fin_thickness and fin_pitch";
  }
  if (style == louvred && length(fin_thickness) <= 0.01 * length(fin_pitch)) {
    return "the fins are thinner than a hundredth of their pitch, for which the louver law has no friction; "
           "check fin_thickness and fin_pitch";
  }
  const double tube = values.has(tube_thickness) ? length(tube_thickness) : 0.0;
  if (length(fin_height) + tube > 1.02 * length(tube_pitch)) {
    return "fin_height and tube_thickness together exceed tube_pitch";
  }
  return "";
}

/// What the loss and each half of the heat rest on.
std::vector<Basis> basis(const Values& values) {
  std::vector<Basis> list;
  constexpr std::string_view tested = "coefficients of a test";
  constexpr std::string_view no_source = "given in the model";
  if (values.has(tested_points)) {
    list.push_back({"pressure loss", "tested points", "fit of a v + b v^2", Tag::computed});
  } else if (values.has(linear)) {
    list.push_back({"pressure loss", tested, no_source, Tag::read});
  } else if (values.has(permeability)) {
    list.push_back({"pressure loss", "porous coefficients", no_source, Tag::read});
  } else {
    list.push_back({"pressure loss", "geometry of the fins", fin_friction_source(values), Tag::from_memory});
  }
  if (!values.has(loop)) return list;
  if (values.has(heat_points)) {
    list.push_back({"heat of the air side", "tested points", "fit of two conductances", Tag::computed});
    list.push_back({"heat of the liquid side", "tested points", "fit of two conductances", Tag::computed});
    return list;
  }
  list.push_back(values.has(air_value) ? Basis{"heat of the air side", tested, no_source, Tag::read}
                                       : Basis{"heat of the air side", "geometry of the fins",
                                               fin_heat_source(values), Tag::from_memory});
  // Without a conductance here the liquid's own element in the loop knows its tubes.
  list.push_back({"heat of the liquid side",
                  values.has(liquid_value) ? tested : "tubes of the loop's element", no_source, Tag::read});
  return list;
}

/// The spans of the cores behind the fins' laws, from memory; of `louvre_step` a closure of ours: f falls
/// with Re to the power -1 at most (0.57) and does not rise, a fifth of that less and a tenth more allowed.
std::vector<Range> ranges() {
  constexpr double degree = 3.14159265358979323846 / 180.0;
  constexpr std::string_view beyond = "is beyond the cores behind the louver law";
  constexpr std::string_view slow = "is beyond the flows behind the fins' law";
  return {{"face_velocity", -15.0, 15.0, "is beyond the velocities at which cores are tested"},
          {"share_of_tested_velocity", 0.0, 1.0, "is beyond the velocities at which the core was tested"},
          {"fin_reynolds", 100.0, 3000.0, slow, "fins.louvre_pitch"},
          {"fin_reynolds", 120.0, 10000.0, slow, "fins.strip_length"},
          {"louvre_step", 0.45, 1.1,
           "is that of no core behind the louver law, whose two branches do not meet for these fins",
           "fins.louvre_pitch"},
          {"fins.louvre_angle", 8.4 * degree, 35.0 * degree, beyond, "fins.louvre_angle"},
          {"fins.louvre_pitch", 0.5e-3, 3.0e-3, beyond, "fins.louvre_pitch"},
          {"fins.louvre_length", 2.13e-3, 18.5e-3, beyond, "fins.louvre_pitch"},
          {"fins.fin_pitch", 0.51e-3, 3.33e-3, beyond, "fins.louvre_pitch"},
          {"fins.fin_height", 2.84e-3, 20e-3, beyond, "fins.louvre_pitch"},
          {"fins.depth", 15.6e-3, 57.4e-3, beyond, "fins.louvre_pitch"},
          {"fins.tube_pitch", 7.51e-3, 25e-3, beyond, "fins.louvre_pitch"}};
}

}  // namespace

const Kind& core_kind() {
  static const Kind kind{
      .name = "core",
      .title = "Core",
      .meaning = "a radiator, oil cooler or charge cooler on its air side",
      .keys = keys(),
      .rules = rules(),
      .formula =
          "dp = a (mu_m/mu_ref) v_m + b (rho_m/rho_ref) v_m^2 (1 + g_c^2), v_m = G/rho_m; a, b given, fitted "
          "to tested points, or mu L/k_p and F rho L of a porous medium; by fins: G^2/(2 sigma_c^2) "
          "((K_c + K_e)/rho_1 + f 4L/(D_h rho_m)), K_c = 0.4 (1 - sigma_c^2), K_e = (1 - sigma_c)^2; + "
          "heating "
          "(1 + K_e) G^2/(2 sigma_c^2) (1/rho_2 - 1/rho_1); + 0.5 tan^2 i q when inclined; + G^2/(2 rho_2) "
          "at an end in a plenum; 1/UA = 1/hA_a (m_a0/m_a)^n_a + 1/hA_l (m_l0/m_l)^n_l, hA_a of fins by j "
          "and their efficiency",
      .reference = "face area, mean density",
      .reversed = "the same with the other sign",
      .range = "face velocities of the test; incidence up to 60 degrees",
      .ranges = ranges(),
      .band = 0.08,
      .source =
          "Darcy-Forchheimer form of a tested curve; heating and ends: Kays & London, Compact Heat "
          "Exchangers, 1984; louvers: Chang & Wang 1997, Chang et al. 2000 and 2006; offset strips: Manglik "
          "& "
          "Bergles 1995; unevenness after Taylor & Batchelor 1949, QJMAM 2",
      .tag = Tag::read,
      .contradiction = &contradiction,
      .basis = &basis,
      .reported = {{"face_velocity", Quantity::velocity, "velocity on the face, density before the core"},
                   {"face_loss_coefficient", Quantity::number,
                    "matrix and heating loss over the face's head"},
                   {"maldistribution", Quantity::number, "g_c, rms over mean of the face velocity"},
                   {"fin_reynolds", Quantity::number,
                    "Reynolds number of the fins (louvers: on pitch); 0 without fins"},
                   {"share_of_tested_velocity", Quantity::number,
                    "face velocity over the largest tested; 0 without tested points"},
                   {"louvre_step", Quantity::number, "f of the louvers' law at Re 230 over f at Re 130"}},
      .items = {"matrix", "heating", "turning into the core", "face head dumped"},
      .dumps_head = true,
      .heated = true,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"face_area", 0.15}, {"air_loss.linear", 24.0}, {"air_loss.quadratic", 6.0}},
                  .velocity = 8.0,
                  .area = 0.15}};
  return kind;
}

}  // namespace corefeed::losses
