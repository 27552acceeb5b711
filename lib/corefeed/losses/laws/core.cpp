// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/core.hpp"

#include "corefeed/losses/end_keys.hpp"

namespace corefeed::losses {
namespace {

using namespace core;
using units::Quantity;

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const Face<S> face = face_state<S>(in);
    const Matrix<S> matrix = matrix_loss<S>(in, face);
    const S core_loss = face_loss<S>(in, face, matrix);
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
    out.reported[0] = face.flux / face.density_in;
    out.reported[1] = core_loss;
    // Switched off for loss and heat, what the diffuser would make of the face is still worth knowing.
    out.reported[2] = select<S>(above<S>(charged, S(0.0)), charged, computed);
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

std::vector<Key> air_keys() {
  return {area_key("face_area", "A", "area of the core's face"),
          {.name = "air_loss.linear",
           .symbol = "a",
           .quantity = Quantity::linear_loss,
           .meaning = "linear coefficient of the pressure drop over face velocity, cold test",
           .lowest = 0.0,
           .spread = {.relative = 0.08},
           .source = "supplier's curve, common practice, no source"},
          {.name = "air_loss.quadratic",
           .symbol = "b",
           .quantity = Quantity::quadratic_loss,
           .meaning = "quadratic coefficient of the pressure drop over face velocity, cold test",
           .lowest = 0.0,
           .spread = {.relative = 0.06},
           .source = "supplier's curve, common practice, no source"},
          {.name = "air_loss.density",
           .symbol = "rho_ref",
           .quantity = Quantity::density,
           .meaning = "density of the test",
           .need = Need::standard,
           .standard = 1.2,
           .lowest = 0.0,
           .above_lowest = true,
           .source = "standard air, common practice, no source"},
          {.name = "air_loss.viscosity",
           .symbol = "mu_ref",
           .quantity = Quantity::dynamic_viscosity,
           .meaning = "viscosity of the test",
           .need = Need::standard,
           .standard = 1.81e-5,
           .lowest = 0.0,
           .above_lowest = true,
           .source = "air at 20 degC"},
          {.name = "free_flow_ratio",
           .symbol = "sigma_c",
           .meaning = "free-flow area over face area",
           .need = Need::standard,
           .standard = 0.78,
           .lowest = 0.0,
           .highest = 1.0,
           .above_lowest = true,
           .source = "louvred-fin cores, common practice, no source"},
          {.name = "exit_coefficient",
           .symbol = "K_e",
           .meaning = "exit loss coefficient of the passages",
           .need = Need::standard,
           .standard = 0.05,
           .lowest = 0.0,
           .highest = 1.0,
           .source = "(1 - sigma_c)^2 for interrupted fins: Kays & London, Compact Heat Exchangers",
           .tag = Tag::from_memory},
          {.name = "face_maldistribution",
           .symbol = "g_c",
           .meaning =
               "rms over mean of the face velocity used for loss and heat; 0 switches it off, absent: from "
               "the diffuser before the core",
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
           .meaning = "turning loss over tan^2 i",
           .need = Need::standard,
           .standard = 0.5,
           .lowest = 0.0,
           .spread = {.relative = 0.50},
           .source = "closure of ours, agrees with inclined cooling-tower bundles (Kroger 2004)",
           .tag = Tag::closure,
           .coefficient = true}};
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

std::vector<Key> heat_keys() {
  return {conductance("air_conductance.value", "hA_a", "heat conductance of the air side, fins included"),
          reference_flow("air_conductance.flow", "m_a0"),
          exponent("air_conductance.exponent", "n_a", 0.5, "louvred fins, common practice, no source"),
          conductance("liquid_conductance.value", "hA_l", "heat conductance of the liquid side"),
          reference_flow("liquid_conductance.flow", "m_l0"),
          exponent("liquid_conductance.exponent", "n_l", 0.8, "turbulent tube flow; 0.33 when laminar"),
          {.name = "heat_transfer",
           .symbol = "F_UA",
           .meaning = "factor on the overall conductance, to fit a test of one's own",
           .need = Need::standard,
           .standard = 1.0,
           .lowest = 0.0,
           .highest = 5.0,
           .spread = {.relative = 0.08},
           .source = "tested conductances, common practice, no source",
           .coefficient = true},
          {.name = "arrangement",
           .meaning = "how the streams run",
           .need = Need::standard,
           .standard = 0,
           .choices = {"crossflow_both_unmixed", "crossflow_air_mixed", "crossflow_liquid_mixed",
                       "counterflow", "parallel_flow"}},
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
           .refers = Refers::loop}};
}

std::vector<Key> keys() {
  std::vector<Key> all = air_keys();
  for (Key& key : heat_keys()) all.push_back(key);
  return all;
}

}  // namespace

const Kind& core_kind() {
  static const Kind kind{
      .name = "core",
      .title = "Core",
      .meaning = "a radiator, oil cooler or charge cooler on its air side",
      .keys = keys(),
      .rules = {{Rule::Kind::needs, {"air_conductance.value", "air_conductance.flow", "loop"}},
                {Rule::Kind::needs,
                 {"liquid_conductance.value", "liquid_conductance.flow", "air_conductance", "loop"}},
                {Rule::Kind::needs, {"loop", "air_conductance"}}},
      .formula =
          "dp = a (mu_m/mu_ref) v_m + b (rho_m/rho_ref) v_m^2 (1 + g_c^2), v_m = G/rho_m; + heating "
          "(1 + K_e) G^2/(2 sigma_c^2) (1/rho_2 - 1/rho_1); + 0.5 tan^2 i q when inclined; + G^2/(2 rho_2) "
          "at an end in a plenum; 1/UA = 1/hA_a (m_a0/m_a)^n_a + 1/hA_l (m_l0/m_l)^n_l",
      .reference = "face area, mean density",
      .reversed = "the same with the other sign",
      .range = "face velocities of the test; incidence up to 60 degrees",
      .ranges = {{"face_velocity", -15.0, 15.0, "is beyond the velocities at which cores are tested"}},
      .band = 0.08,
      .source =
          "Darcy-Forchheimer form of a tested curve; heating and ends: Kays & London, Compact Heat "
          "Exchangers, 1984; unevenness after Taylor & Batchelor 1949, QJMAM 2",
      .tag = Tag::read,
      .reported = {{"face_velocity", Quantity::velocity, "velocity on the face, density before the core"},
                   {"face_loss_coefficient", Quantity::number,
                    "matrix and heating loss over the face's head"},
                   {"maldistribution", Quantity::number, "g_c, rms over mean of the face velocity"}},
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
