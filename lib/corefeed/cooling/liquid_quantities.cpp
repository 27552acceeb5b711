// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/liquid_quantities.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace corefeed::cooling {
namespace {

using network::Function;
using network::make_function;
using network::none;
using units::Quantity;

std::size_t at(int index) { return static_cast<std::size_t>(index); }

/// Of an element in which a liquid gives or takes heat.
constexpr std::array<NumberRow, 2> liquid_numbers{
    {{"heat", Quantity::power}, {"temperature_out", Quantity::temperature}}};
/// Of tubes besides.
constexpr std::array<NumberRow, 3> tube_numbers{{{"tube_reynolds", Quantity::number},
                                                 {"liquid_conductance", Quantity::conductance},
                                                 {"wall_temperature", Quantity::temperature}}};
/// Of one pass, for the headers; no result by itself.
constexpr std::string_view pass_loss = "pass_loss";

template <class S>
S liquid_number(const PassageStates& passage, const losses::Input<S>& in, const S* x, std::string_view what) {
  if (what == "heat") return heat_given<S>(in);
  if (what == "temperature_out") return in.temperature_out;
  const S wall = passage.wall<S>(x);
  if (what == "wall_temperature") return wall;
  if (what == "tube_reynolds") return tube_pass<S>(*passage.tubes(), in, wall).reynolds;
  if (what == pass_loss) return tube_pass<S>(*passage.tubes(), in, wall).loss;
  return tube_conductance<S>(*passage.tubes(), in, wall);
}

/// Whether a liquid gives or takes heat in the element.
bool exchanges(const Case& problem, std::size_t e) {
  if (problem.network.elements[e].liquid == none) return false;
  const int element = static_cast<int>(e);
  const auto is_side = [element](const LiquidPair& pair) {
    return pair.named_by == element || pair.named == element;
  };
  return problem.other_side[e] != none || std::any_of(problem.pairs.begin(), problem.pairs.end(), is_side);
}

/// A place of a loop whose temperature counts while something flows there.
struct Place {
  int flow, temperature;  ///< places in the function's list of unknowns
  double sign;            ///< of the flow that brings the temperature there; 0: of either
};

class Places {
 public:
  void add(int flow, int temperature, double sign) {
    list.push_back({place_of(flow), place_of(temperature), sign});
  }
  std::vector<Place> list;
  std::vector<int> unknowns;

 private:
  int place_of(int unknown) {
    const auto found = std::find(unknowns.begin(), unknowns.end(), unknown);
    if (found != unknowns.end()) return static_cast<int>(found - unknowns.begin());
    unknowns.push_back(unknown);
    return static_cast<int>(unknowns.size()) - 1;
  }
};

/// Nodes that something flows into, reservoirs that something leaves, and what leaves cores and coolers.
Places places_of(const Solved& solved, int loop) {
  const network::Network& net = solved.problem.network;
  const network::Places& stands = solved.assembly.places;
  const int liquid = solved.problem.loops[at(loop)].liquid;
  Places places;
  for (std::size_t e = 0; e < net.elements.size(); ++e) {
    const network::Element& element = net.elements[e];
    if (element.liquid != liquid) continue;
    const auto end = [&](int node, double into) {
      if (node == none) return;
      const bool reservoir = net.nodes[at(node)].kind == network::NodeKind::fixed_pressure;
      places.add(stands.flow[e], stands.temperature[at(node)], reservoir ? 0.0 : into);
    };
    end(element.to, 1.0);
    end(element.from, -1.0);
    if (exchanges(solved.problem, e)) places.add(stands.flow[e], stands.leaving[e], 0.0);
  }
  return places;
}

/// The hottest (coldest) liquid of a loop that is a network. What stands still in a core takes the
/// temperature of its other side and carries it nowhere; where nothing flows at all the first node counts.
Function extreme_function(const Solved& solved, int loop, bool hottest) {
  Places places = places_of(solved, loop);
  const double sense = hottest ? 1.0 : -1.0;
  auto number = [list = places.list, sense]<class S>(const S* x, const S*) {
    constexpr double nowhere = -1e9;
    S best(nowhere);
    for (const Place& place : list) {
      const S onward = x[place.flow];
      const S size = select<S>(at_least<S>(onward, S(0.0)), onward, S(-onward));
      const S moving = place.sign == 0.0 ? size : S(place.sign * onward);
      const S candidate =
          select<S>(above<S>(moving, S(creeping_flow)), S(sense * x[place.temperature]), best);
      best = larger<S>(best, candidate);
    }
    const S found = sense * best;
    return select<S>(above<S>(best, S(nowhere)), found, x[list.front().temperature]);
  };
  return make_function(std::move(places.unknowns), {}, number);
}

/// K, at an absolute pressure of a few hundred pascals at least: a trial state may lie below vacuum.
double boiling_point(const fluids::Liquid& liquid, double pressure) {
  return liquid.boiling_temperature(std::max(pressure, 700.0));
}
Dual boiling_point(const fluids::Liquid& liquid, const Dual& pressure) {
  const double level = boiling_point(liquid, pressure.value());
  return Dual(level, pressure.derivatives() / liquid.vapor_pressure_slope(level));
}

/// How far the liquid is from boiling at the node where it is closest to it.
Function boiling_function(const Solved& solved, int loop) {
  const network::Network& net = solved.problem.network;
  const Loop& given = solved.problem.loops[at(loop)];
  std::vector<int> unknowns;
  for (std::size_t n = 0; n < net.nodes.size(); ++n) {
    if (net.nodes[n].liquid != given.liquid) continue;
    unknowns.push_back(solved.assembly.places.pressure[n]);
    unknowns.push_back(solved.assembly.places.temperature[n]);
  }
  const std::size_t count = unknowns.size();
  auto number = [count, fluid = given.fluid, ambient = net.outside.pressure]<class S>(const S* x, const S*) {
    S least(1e9);
    for (std::size_t i = 0; i < count; i += 2) {
      const S margin = boiling_point(fluid, S(x[i] + ambient)) - x[i + 1];
      least = smaller<S>(least, margin);
    }
    return least;
  };
  return make_function(std::move(unknowns), {}, number);
}

/// What a loop gives off in its cores and coolers.
Function loop_heat_function(const Solved& solved, int loop) {
  std::vector<int> unknowns;
  std::vector<int> parameters;
  std::vector<PassageStates> passages;
  const auto& elements = solved.problem.network.elements;
  for (std::size_t e = 0; e < elements.size(); ++e) {
    if (elements[e].liquid != solved.problem.loops[at(loop)].liquid || !exchanges(solved.problem, e))
      continue;
    passages.emplace_back(solved.problem, solved.assembly, solved.loops, static_cast<int>(e), unknowns,
                          parameters);
  }
  auto number = [passages]<class S>(const S* x, const S* p) {
    S sum(0.0);
    for (const PassageStates& passage : passages) sum += heat_given<S>(passage.input<S>(x, p));
    return sum;
  };
  return make_function(std::move(unknowns), std::move(parameters), number);
}

}  // namespace

/// `what` is a name of `liquid_numbers` or `tube_numbers`, which live as long as the program.
Function liquid_function(const Solved& solved, int e, std::string_view what) {
  std::vector<int> unknowns;
  std::vector<int> parameters;
  const PassageStates passage(solved.problem, solved.assembly, solved.loops, e, unknowns, parameters);
  auto number = [passage, what]<class S>(const S* x, const S* p) {
    return liquid_number<S>(passage, passage.input<S>(x, p), x, what);
  };
  return make_function(std::move(unknowns), std::move(parameters), number);
}

std::vector<NumberRow> liquid_rows(const Case& problem, std::size_t e) {
  const network::Element& element = problem.network.elements[e];
  std::vector<NumberRow> rows;
  if (exchanges(problem, e)) rows.assign(liquid_numbers.begin(), liquid_numbers.end());
  if (element.tubes) rows.insert(rows.end(), tube_numbers.begin(), tube_numbers.end());
  return rows;
}

std::optional<Function> network_loop_function(const Solved& solved, int loop, std::string_view what) {
  if (what == "temperature") return extreme_function(solved, loop, true);
  if (what == "temperature_cold") return extreme_function(solved, loop, false);
  if (what == "flow")
    return make_function({solved.assembly.places.flow[at(solved.problem.loops[at(loop)].first)]}, {},
                         []<class S>(const S* x, const S*) { return x[0]; });
  if (what == "heat") return loop_heat_function(solved, loop);
  const bool boils = std::isfinite(solved.problem.loops[at(loop)].boiling_temperature);
  if (what == "boiling_margin" && boils) return boiling_function(solved, loop);
  return std::nullopt;
}

void add_header_numbers(const Solved& solved, int e, ElementState& state) {
  const network::Element& element = solved.problem.network.elements[at(e)];
  if (!element.tubes) return;
  const auto number = [&](std::string_view what) {
    return network::evaluate(liquid_function(solved, e, what), solved.x, solved.assembly.system.parameters());
  };
  const fluids::Liquid& liquid = solved.problem.network.liquids[at(element.liquid)];
  const double temperature = losses::held_temperature<double>(number("wall_temperature"));
  const PassFlow pass{std::abs(state.flow), number(pass_loss), liquid.density(temperature),
                      liquid.viscosity(temperature), number("tube_reynolds")};
  const auto shares = header_shares(element.values(), *tube_side_of(element.values()), pass);
  if (!shares) return;
  state.numbers.push_back({"tube_flow_ratio", Quantity::number, shares->most_over_least});
  state.numbers.push_back({"liquid_maldistribution", Quantity::number, shares->unevenness});
}

}  // namespace corefeed::cooling
