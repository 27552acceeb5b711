// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/bore.hpp"
#include "corefeed/losses/law.hpp"

namespace corefeed::losses {
namespace {

using units::Quantity;

enum : std::size_t { bore, opens_at, fully_open_at, hysteresis, lag, loss, bypass_loss };

/// What a shut valve leaks: as much as one that is open by a hundredth.
constexpr double least_opening = 0.01;

/// 0 shut to 1 open, a straight line over the temperature with rounded corners.
template <class S>
S opening(const Input<S>& in) {
  const S share = (in.temperature_from - in[opens_at]) / (in[fully_open_at] - in[opens_at]);
  const S corner(0.02);
  const S open = rounded_ramp<S>(share, corner) - rounded_ramp<S>(S(share - 1.0), corner);
  return open;
}

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const S area = circle_area<S>(in[bore]);
    const Local<S> local = upwind<S>(in, area);
    const S open = opening<S>(in);
    const S way = larger<S>(open, S(least_opening));
    const S bypass = 1.0 - 0.9 * open;
    const S coefficient =
        in.leg == Leg::branch ? S(in[bypass_loss] / (bypass * bypass)) : S(in[loss] / (way * way));
    out.item[0] = coefficient * local.head;
    if (out.loss_alone) return;
    out.reported[0] = local.velocity;
    out.reported[1] = open;
    out.reported[2] = coefficient;
  }
};

std::string contradiction(const Values& values) {
  if (values.number[fully_open_at] > values.number[opens_at]) return "";
  return "fully_open_at is not above opens_at; a thermostat opens as the liquid gets hotter";
}

std::vector<Key> keys() {
  return {bore_key("inner diameter on whose dynamic head both losses stand", 0.02),
          {.name = "opens_at",
           .symbol = "T_s",
           .quantity = Quantity::temperature,
           .meaning = "temperature at which the way to the core begins to open",
           .lowest = 233.15,
           .highest = 473.15,
           .spread = {.absolute = 2.0},
           .source = "common practice, no source"},
          {.name = "fully_open_at",
           .symbol = "T_f",
           .quantity = Quantity::temperature,
           .meaning = "temperature at which it is fully open",
           .lowest = 233.15,
           .highest = 473.15,
           .spread = {.absolute = 2.0},
           .source = "common practice, no source"},
          {.name = "hysteresis",
           .symbol = "dT_h",
           .quantity = Quantity::temperature_difference,
           .meaning = "how much colder it closes than it opens; over a lap, not in the steady state",
           .need = Need::standard,
           .standard = 3.0,
           .lowest = 0.0,
           .highest = 50.0,
           .source = "wax thermostats, common practice, no source"},
          {.name = "lag",
           .symbol = "tau",
           .quantity = Quantity::time,
           .meaning = "time constant of the opening; over a lap, not in the steady state",
           .need = Need::standard,
           .standard = 7.0,
           .lowest = 0.0,
           .highest = 600.0,
           .source = "wax thermostats 5 to 10 s, common practice, no source"},
          {.name = "loss",
           .symbol = "K_o",
           .meaning = "loss coefficient of the way to the core when fully open",
           .lowest = 0.0,
           .above_lowest = true,
           .spread = {.relative = 0.25}},
          {.name = "bypass_loss",
           .symbol = "K_b",
           .meaning = "loss coefficient of the bypass when the thermostat is shut",
           .lowest = 0.0,
           .above_lowest = true,
           .spread = {.relative = 0.25}}};
}

}  // namespace

const Kind& thermostat_kind() {
  static const Kind kind{
      .name = "thermostat",
      .title = "Thermostat",
      .meaning =
          "a valve that leads the liquid to the core (port straight) or past it (port branch) by its "
          "temperature at the port common",
      .ends = Ends::three_ports,
      .carries = Carries::liquid,
      .keys = keys(),
      .formula =
          "y = (T - T_s)/(T_f - T_s) between 0 and 1, corners rounded over 2 %; way to the core K = K_o / "
          "max(y, 0.01)^2, bypass K = K_b / (1 - 0.9 y)^2",
      .reference = "bore, upwind density",
      .reversed = "the same with the other sign: a thermostat at the pump's inlet joins the two ways",
      .range = "steady state; over a lap the opening follows with lag and hysteresis",
      .band = 0.25,
      .source = "plate valves, closure of ours",
      .tag = Tag::closure,
      .contradiction = &contradiction,
      .reported = {{"velocity", Quantity::velocity, "mean velocity on the bore"},
                   {"opening", Quantity::number, "0 shut to 1 fully open"},
                   {"loss_coefficient", Quantity::number, "K on the bore's head"}},
      .items = {"thermostat"},
      .law = law_of<Formula>(),
      .example = {.numbers = {{"bore", 0.03},
                              {"opens_at", 355.15},
                              {"fully_open_at", 371.15},
                              {"loss", 2.0},
                              {"bypass_loss", 4.0}},
                  .velocity = 1.0,
                  .area = 0.00070686,
                  .branch_share = 0.5}};
  return kind;
}

}  // namespace corefeed::losses
