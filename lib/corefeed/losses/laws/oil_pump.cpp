// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/pump.hpp"

namespace corefeed::losses {
namespace {

using units::Quantity;

enum : std::size_t { displacement, slip, shaft_speed, speed_ratio, suction_limit, efficiency };

constexpr double turn = 6.283185307179586477;

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const S flow = pump::volume_flow<S>(in);
    const S speed = pump::shaft_speed_of<S>(in, shaft_speed, speed_ratio, S(0.0));
    const S swept = pump::filling<S>(in, suction_limit) * in[displacement] * speed / turn;
    // What slips back grows with the pressure and falls with the viscosity: the rise at which the rest is
    // what flows.
    const S viscosity = viscosity_at<S>(in, in.temperature_from);
    const S rise = (swept - flow) * viscosity / (in[displacement] * in[slip]);
    out.item[0] = -rise;
    if (out.loss_alone) return;
    out.reported[0] = flow;
    out.reported[1] = larger<S>(S(rise * in[displacement] * speed / (turn * in[efficiency])), S(0.0));
    out.reported[2] = pump::suction_margin<S>(in, suction_limit);
    out.reported[3] = speed;
    // A pump at rest sweeps nothing.
    out.reported[4] = flow / larger<S>(swept, S(1e-12));
  }
};

std::vector<Key> keys() {
  return {{.name = "displacement",
           .symbol = "D",
           .quantity = Quantity::volume,
           .meaning = "volume swept in one turn of the shaft",
           .lowest = 0.0,
           .above_lowest = true,
           .spread = {.relative = 0.02}},
          {.name = "slip",
           .symbol = "C_s",
           .meaning = "slip coefficient: share lost = C_s dp/(mu n), n in turns a second",
           .need = Need::standard,
           .standard = 1.2e-7,
           .lowest = 0.0,
           .highest = 1e-4,
           .above_lowest = true,
           .spread = {.relative = 0.50},
           .source = "volumetric efficiency 0.9 at 4 bar, 3000 rpm and 10 mPa s; common practice, no source"},
          pump::shaft_speed_key(),
          pump::speed_ratio_key(),
          pump::suction_limit_key(),
          {.name = "efficiency",
           .symbol = "eta_m",
           .meaning = "mechanical efficiency: power of the swept volume over shaft power",
           .need = Need::standard,
           .standard = 0.8,
           .lowest = 0.0,
           .highest = 1.0,
           .above_lowest = true,
           .source = "0.7 to 0.9 of gear and rotor pumps; common practice, no source"}};
}

std::vector<Reported> reported() {
  std::vector<Reported> list = pump::reported();
  list.push_back({"volumetric_efficiency", Quantity::number, "flow over the swept volume flow"});
  return list;
}

}  // namespace

const Kind& oil_pump_kind() {
  static const Kind kind{
      .name = "oil_pump",
      .title = "Oil pump",
      .meaning = "a gear, rotor or vane pump that sweeps a volume in each turn",
      .carries = Carries::liquid,
      .keys = keys(),
      .rules = {{Rule::Kind::exactly_one, {"shaft_speed", "speed_ratio"}}},
      .formula =
          "Q = D n (1 - C_s dp/(mu n)), n in turns a second; D n times (p - p_v)/p_s where the inlet has "
          "less "
          "than p_s; power = D n dp/eta_m",
      .reference = "volume flow, viscosity at the inlet",
      .reversed = "the same law: against a standing pump the slip lets the liquid through",
      .range = "volumetric efficiencies of 0.5 to 1; a relief valve limits the pressure, this law does not",
      .ranges = {{"volumetric_efficiency", 0.5, 1.05, "means that most of the oil slips back in the pump"}},
      .band = 0.10,
      .source = "slip flow through gaps in proportion to dp/mu (Wilson 1946, Proc. IMechE 155)",
      .tag = Tag::from_memory,
      .reported = reported(),
      .items = {"pump"},
      .law = law_of<Formula>(),
      .example = {
          .numbers = {{"displacement", 20e-6}, {"shaft_speed", 314.159}}, .velocity = 1.0, .area = 0.0009}};
  return kind;
}

}  // namespace corefeed::losses
