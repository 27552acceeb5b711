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

Function one_unknown(int unknown) {
  return make_function({unknown}, {}, []<class S>(const S* x, const S*) { return x[0]; });
}

/// The hottest (coldest) place of a loop that is a network: nodes that something flows into, and what leaves
/// cores and coolers.
int extreme_unknown(const Solved& solved, int loop, bool hottest) {
  const network::Network& net = solved.problem.network;
  const network::Places& places = solved.assembly.places;
  const int liquid = solved.problem.loops[at(loop)].liquid;
  int best = none;
  const auto offer = [&](int unknown) {
    const double value = solved.x[at(unknown)];
    const bool better = best == none || (hottest ? value > solved.x[at(best)] : value < solved.x[at(best)]);
    if (better) best = unknown;
  };
  for (std::size_t e = 0; e < net.elements.size(); ++e) {
    const network::Element& element = net.elements[e];
    const double flow = solved.x[at(places.flow[e])];
    // What stands still in a core takes the temperature of its other side and carries it nowhere.
    if (element.liquid != liquid || std::abs(flow) < creeping_flow) continue;
    const bool forward = flow >= 0.0;
    const int into = forward ? element.to : element.from;
    const int out_of = forward ? element.from : element.to;
    if (into != none) offer(places.temperature[at(into)]);
    if (out_of != none && net.nodes[at(out_of)].kind == network::NodeKind::fixed_pressure) {
      offer(places.temperature[at(out_of)]);
    }
    if (exchanges(solved.problem, e)) offer(places.leaving[e]);
  }
  for (std::size_t n = 0; best == none; ++n) {
    if (net.nodes[n].liquid == liquid) best = places.temperature[n];
  }
  return best;
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
  if (what == "temperature") return one_unknown(extreme_unknown(solved, loop, true));
  if (what == "temperature_cold") return one_unknown(extreme_unknown(solved, loop, false));
  if (what == "flow")
    return one_unknown(solved.assembly.places.flow[at(solved.problem.loops[at(loop)].first)]);
  if (what == "heat") return loop_heat_function(solved, loop);
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
