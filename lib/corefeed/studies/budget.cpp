// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "corefeed/studies/budget.hpp"

namespace corefeed::studies {
namespace {

using network::none;

std::size_t at(int index) { return static_cast<std::size_t>(index); }

/// Walks the network along the flow.
class Walker {
 public:
  explicit Walker(const PointResult& result)
      : net_(result.built.problem.network), solution_(result.solution) {}

  /// Node where the air of this element comes from (or goes to); none at the skin.
  int upstream(int e) const { return forward(e) ? element(e).from : element(e).to; }
  int downstream(int e) const { return forward(e) ? element(e).to : element(e).from; }

  /// The element with the largest flow into (out of) a node; none at a fixed pressure or a dead end.
  int largest(int node, bool into) const {
    int best = none;
    double most = 0.0;
    for (std::size_t e = 0; e < net_.elements.size(); ++e) {
      const int one = static_cast<int>(e);
      if ((into ? downstream(one) : upstream(one)) != node) continue;
      const double flow = std::abs(solution_.elements[e].flow);
      if (flow > most) {
        most = flow;
        best = one;
      }
    }
    return best;
  }

  /// All elements that carry flow between the same two nodes in the same direction, this one among them.
  std::vector<int> parallel(int e) const {
    std::vector<int> list;
    if (upstream(e) == none || downstream(e) == none) return {e};
    for (std::size_t other = 0; other < net_.elements.size(); ++other) {
      const int one = static_cast<int>(other);
      if (upstream(one) == upstream(e) && downstream(one) == downstream(e)) list.push_back(one);
    }
    return list;
  }

  const network::Element& element(int e) const { return net_.elements[at(e)]; }
  const cooling::ElementState& state(int e) const { return solution_.elements[at(e)]; }
  bool forward(int e) const { return solution_.elements[at(e)].flow >= 0.0; }
  bool fixed(int node) const { return net_.nodes[at(node)].kind == network::NodeKind::fixed_pressure; }
  const std::string& node_name(int node) const { return net_.nodes[at(node)].name; }

 private:
  const network::Network& net_;
  const cooling::Solution& solution_;
};

/// Elements from where the air comes in, through the core, to where it leaves.
std::vector<int> chain_through(const Walker& walker, int core) {
  std::vector<int> chain{core};
  const auto extend = [&](bool upward) {
    int node = upward ? walker.upstream(core) : walker.downstream(core);
    while (node != none && !walker.fixed(node)) {
      const int next = walker.largest(node, upward);
      // A closed circulation comes back to where it was.
      if (next == none || std::find(chain.begin(), chain.end(), next) != chain.end()) break;
      chain.insert(upward ? chain.begin() : chain.end(), next);
      node = upward ? walker.upstream(next) : walker.downstream(next);
    }
  };
  extend(true);
  extend(false);
  return chain;
}

void add_items(const Walker& walker, int e, Budget& budget) {
  const double sign = walker.forward(e) ? 1.0 : -1.0;
  const std::vector<int> side_by_side = walker.parallel(e);
  if (side_by_side.size() > 1 && !losses::is_air_core(*walker.element(e).kind)) {
    std::vector<std::string_view> items;
    for (const int one : side_by_side) items.push_back(walker.element(one).kind->items.front());
    budget.lines.push_back({fmt::format("{} -> {}", walker.node_name(walker.upstream(e)),
                                        walker.node_name(walker.downstream(e))),
                            fmt::format("{}", fmt::join(items, " and ")),
                            sign * walker.state(e).pressure_loss, 0.0});
    return;
  }
  for (const cooling::Item& item : walker.state(e).items) {
    if (item.loss == 0.0) continue;
    budget.lines.push_back({walker.element(e).name, std::string(item.name), sign * item.loss, 0.0});
  }
}

/// Ram that the opening did not recover stands first: it is lost before the network begins.
void add_ram(const Walker& walker, int first, Budget& budget) {
  for (const cooling::Number& number : walker.state(first).numbers) {
    if (number.name != "ram_not_recovered") continue;
    budget.lines.push_back({walker.element(first).name, "ram not recovered", number.value, 0.0});
  }
}

/// Where a chain begins or ends: the opening, or the node. A given flow has no pressure of its own, so its
/// stream begins or ends at its node.
std::string end_name(const Walker& walker, int e, bool begins) {
  const int outer = begins ? walker.upstream(e) : walker.downstream(e);
  if (outer != none) return walker.node_name(outer);
  const network::Element& element = walker.element(e);
  const bool is_opening = losses::find_key(*element.kind, "cp") != losses::npos;
  return is_opening ? element.name : walker.node_name(begins ? walker.downstream(e) : walker.upstream(e));
}

Budget budget_of(const Walker& walker, int core) {
  Budget budget;
  budget.core = walker.element(core).name;
  const std::vector<int> chain = chain_through(walker, core);
  budget.from = end_name(walker, chain.front(), true);
  budget.to = end_name(walker, chain.back(), false);
  if (walker.forward(chain.front()) && walker.upstream(chain.front()) == none)
    add_ram(walker, chain.front(), budget);
  for (const int e : chain) add_items(walker, e, budget);
  return budget;
}

/// What a pump's head is spent on: from its outlet along the stream that carries most, back to its inlet or
/// to where the liquid leaves. Without a pump: from the loop's first element on, that one included.
Budget loop_budget(const Walker& walker, const std::string& loop, int first) {
  Budget budget;
  budget.core = loop;
  const bool drives = losses::find_key(*walker.element(first).kind, "suction_limit") != losses::npos;
  if (!drives) add_items(walker, first, budget);
  std::vector<int> passed{first};
  int node = walker.downstream(first);
  budget.from = drives ? walker.node_name(node) : end_name(walker, first, true);
  while (node != none && node != walker.upstream(first)) {
    const int next = walker.largest(node, false);
    if (next == none || std::find(passed.begin(), passed.end(), next) != passed.end()) break;
    passed.push_back(next);
    add_items(walker, next, budget);
    node = walker.downstream(next);
  }
  budget.to = end_name(walker, passed.back(), false);
  return budget;
}

/// Whether an element is one of several that the user knows by one name.
bool is_within(const cooling::Case& problem, std::size_t element, std::string_view name) {
  return std::any_of(problem.paths.begin(), problem.paths.end(), [&](const cooling::Path& path) {
    return path.name == name &&
           std::count(path.elements.begin(), path.elements.end(), static_cast<int>(element)) > 0;
  });
}

void add_shares(Budget& budget) {
  for (const BudgetLine& line : budget.lines) budget.head += line.loss;
  for (BudgetLine& line : budget.lines) line.share = budget.head == 0.0 ? 0.0 : line.loss / budget.head;
}

}  // namespace

std::vector<Budget> budgets_of(const PointResult& result) {
  std::vector<Budget> budgets;
  const Walker walker(result);
  const auto& elements = result.built.problem.network.elements;
  for (std::size_t e = 0; e < elements.size(); ++e) {
    if (losses::is_air_core(*elements[e].kind)) budgets.push_back(budget_of(walker, static_cast<int>(e)));
  }
  for (const cooling::Loop& loop : result.built.problem.loops) {
    if (loop.is_network()) budgets.push_back(loop_budget(walker, loop.name, loop.first));
  }
  for (Budget& budget : budgets) add_shares(budget);
  return budgets;
}

std::vector<std::size_t> cores_of(const PointResult& point, std::string_view owner) {
  const cooling::Case& problem = point.built.problem;
  std::vector<std::size_t> cores;
  for (std::size_t e = 0; e < problem.network.elements.size(); ++e) {
    const network::Element& element = problem.network.elements[e];
    if (!losses::is_air_core(*element.kind)) continue;
    const int loop = problem.loop_of[e];
    const bool cools = loop != network::none && problem.loops[static_cast<std::size_t>(loop)].name == owner;
    if (element.name == owner || cools || is_within(problem, e, owner)) cores.push_back(e);
  }
  return cores;
}

const Budget* budget_of_core(const PointResult& point, std::size_t core) {
  for (const Budget& budget : point.budgets) {
    if (budget.core == point.built.problem.network.elements[core].name) return &budget;
  }
  return nullptr;
}

std::vector<Eater> eaters_of(const Budget& budget) {
  std::vector<Eater> eaters;
  for (const BudgetLine& line : budget.lines) {
    const std::size_t slash = line.element.find('/');
    const std::string name = line.element.substr(0, slash);
    auto found =
        std::find_if(eaters.begin(), eaters.end(), [&name](const Eater& one) { return one.name == name; });
    if (found == eaters.end()) found = eaters.insert(eaters.end(), Eater{name, 0.0, "", 0.0});
    found->share += line.share;
    if (line.share <= found->largest) continue;
    found->largest = line.share;
    found->part = slash == std::string::npos ? line.item : line.element;
  }
  std::stable_sort(eaters.begin(), eaters.end(),
                   [](const Eater& a, const Eater& b) { return a.share > b.share; });
  return eaters;
}

}  // namespace corefeed::studies
