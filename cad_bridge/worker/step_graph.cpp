// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/step_graph.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <numeric>

namespace corefeed::worker {
namespace {

using Index = std::uint32_t;
constexpr Index nobody = std::numeric_limits<Index>::max();
constexpr std::uint64_t countless = 1'000'000'000'000'000;

/// Number -> index. Real files number their entities almost without gaps, so a plain table serves; numbers
/// far apart are sorted instead. A hash table could be slowed at will by whoever chose the numbers.
class IdMap {
 public:
  explicit IdMap(const std::vector<Index>& ids) : ids_(ids) {
    const Index largest = ids.empty() ? 0 : *std::ranges::max_element(ids);
    if (largest <= 8 * ids.size() + 1024) {
      table_.assign(std::size_t{largest} + 1, nobody);
      for (Index i = 0; i < ids.size(); ++i)
        if (table_[ids[i]] == nobody) table_[ids[i]] = i;
    } else {
      sorted_.resize(ids.size());
      std::iota(sorted_.begin(), sorted_.end(), Index{0});
      std::ranges::sort(sorted_, {}, [&](Index i) { return std::pair{ids[i], i}; });
    }
  }

  /// The first entity with this number.
  Index find(Index id) const {
    if (!table_.empty()) return id < table_.size() ? table_[id] : nobody;
    const auto found = std::ranges::lower_bound(sorted_, id, {}, [&](Index i) { return ids_[i]; });
    return found != sorted_.end() && ids_[*found] == id ? *found : nobody;
  }

 private:
  const std::vector<Index>& ids_;
  std::vector<Index> table_;
  std::vector<Index> sorted_;
};

/// References of the file and, besides, what contains what: assembly -> component by every usage, product
/// definition -> representation by every shape definition.
class ContainmentGraph {
 public:
  explicit ContainmentGraph(const ReferenceGraph& graph) : graph_(graph) {
    for (Index i = 0; i < graph.size(); ++i) add_containment(i);
    std::ranges::sort(contained_);
    first_.assign(graph.size() + 1, 0);
    for (const Containment& c : contained_) ++first_[c.owner + 1];
    std::partial_sum(first_.begin(), first_.end(), first_.begin());
  }

  struct Edge {
    Index to = nobody;
    bool placement = false;
  };
  /// The k-th edge of an entity, `to` nobody after the last.
  Edge edge(Index entity, Index k) const {
    const Index references = graph_.first[entity + 1] - graph_.first[entity];
    if (k < references) return {graph_.references[graph_.first[entity] + k], false};
    const Index at = first_[entity] + (k - references);
    if (at >= first_[entity + 1]) return {};
    return {contained_[at].part, contained_[at].placement};
  }

 private:
  struct Containment {
    Index owner, part;
    bool placement;
    auto operator<=>(const Containment&) const = default;
  };

  void add_containment(Index i) {
    const Index* references = graph_.references.data() + graph_.first[i];
    if (graph_.first[i + 1] - graph_.first[i] < 2) return;
    if (graph_.kinds[i] == EntityKind::usage) contained_.push_back({references[0], references[1], true});
    if (graph_.kinds[i] != EntityKind::shape_definition) return;
    const Index shape = references[0];
    if (graph_.kinds[shape] != EntityKind::definition_shape || graph_.first[shape] == graph_.first[shape + 1])
      return;
    const Index product = graph_.references[graph_.first[shape]];
    if (graph_.kinds[product] == EntityKind::product_definition)
      contained_.push_back({product, references[1], false});
  }

  const ReferenceGraph& graph_;
  std::vector<Containment> contained_;
  std::vector<Index> first_;
};

/// Depth-first walk with its own stack; figures of an entity are known when all it refers to have been left.
class Walk {
 public:
  explicit Walk(const ReferenceGraph& graph) : graph_(graph), edges_(graph) {
    instances_.assign(graph.size(), 0);
    nesting_.assign(graph.size(), 0);
    chain_.assign(graph.size(), 0);
    contained_.assign(graph.size(), false);
    on_stack_.assign(graph.size(), false);
  }

  /// False if a circle was met; then `stack_` ends with it.
  bool run() {
    for (Index root = 0; root < graph_.size(); ++root)
      if (chain_[root] == 0 && !descend(root)) return false;
    return true;
  }

  Flaw circle() const {
    const Index closing = closing_;
    auto begin = std::ranges::find(stack_, closing, &Step::entity);
    std::string way;
    for (int shown = 0; begin != stack_.end() && shown < 8; ++begin, ++shown)
      way += fmt::format("#{} -> ", graph_.ids[begin->entity]);
    way += begin == stack_.end() ? fmt::format("#{}", graph_.ids[closing]) : "...";
    return {"circular_reference", graph_.offsets[closing],
            fmt::format("entities contain each other in a circle ({}); no part can contain itself", way)};
  }

  PlacementCount count() const {
    PlacementCount count;
    std::uint64_t products = 0;
    for (Index i = 0; i < graph_.size(); ++i) {
      const EntityKind kind = graph_.kinds[i];
      const bool product = kind == EntityKind::product_definition;
      const bool shape = kind == EntityKind::mapped_item || kind == EntityKind::representation;
      if (product && !contained_[i]) products = std::min(countless, products + 1 + instances_[i]);
      if (shape) count.instances = std::max(count.instances, instances_[i]);
      if ((product || shape) && instances_[i] > instances_[count.busiest]) count.busiest = i;
      count.nesting = std::max(count.nesting, nesting_[i]);
      if (chain_[i] > count.chain) {
        count.chain = chain_[i];
        count.deepest = i;
      }
    }
    count.instances = std::max(count.instances, products);
    return count;
  }

 private:
  struct Step {
    Index entity;
    Index next_edge;
  };

  bool descend(Index root) {
    enter(root);
    while (!stack_.empty()) {
      Step& top = stack_.back();
      const Index child = edges_.edge(top.entity, top.next_edge++).to;
      if (child == nobody) {
        leave(top.entity);
        stack_.pop_back();
      } else if (on_stack_[child]) {
        closing_ = child;
        return false;
      } else if (chain_[child] == 0) {
        enter(child);
      }
    }
    return true;
  }

  void enter(Index entity) {
    on_stack_[entity] = true;
    stack_.push_back({entity, 0});
  }

  void leave(Index entity) {
    std::uint64_t instances = 0;
    Index nesting = 0;
    Index chain = 0;
    for (Index k = 0;; ++k) {
      const auto [child, placement] = edges_.edge(entity, k);
      if (child == nobody) break;
      if (placement) contained_[child] = true;
      instances = std::min(countless, instances + instances_[child] + (placement ? 1 : 0));
      nesting = std::max(nesting, nesting_[child] + (placement ? 1 : 0));
      chain = std::max(chain, chain_[child]);
    }
    const bool mapped = graph_.kinds[entity] == EntityKind::mapped_item;
    // A usage only names assembly and component: its placement is counted with the assembly.
    if (graph_.kinds[entity] != EntityKind::usage) instances_[entity] = instances + (mapped ? 1 : 0);
    nesting_[entity] = nesting + (mapped ? 1 : 0);
    chain_[entity] = chain + 1;
    on_stack_[entity] = false;
  }

  const ReferenceGraph& graph_;
  ContainmentGraph edges_;
  std::vector<std::uint64_t> instances_;
  std::vector<Index> nesting_;
  std::vector<Index> chain_;  ///< 0 until the entity has been left
  std::vector<bool> contained_;
  std::vector<bool> on_stack_;
  std::vector<Step> stack_;
  Index closing_ = nobody;
};

}  // namespace

std::vector<Flaw> resolve_references(ReferenceGraph& graph, std::size_t most) {
  std::vector<Flaw> flaws;
  const IdMap map(graph.ids);
  for (Index i = 0; i < graph.size() && flaws.size() < most; ++i) {
    if (map.find(graph.ids[i]) != i)
      flaws.push_back(
          {"duplicate_instance", graph.offsets[i],
           fmt::format("#{} is defined here a second time; every number may be given once", graph.ids[i])});
    for (Index k = graph.first[i]; k < graph.first[i + 1] && flaws.size() < most; ++k) {
      const Index target = map.find(graph.references[k]);
      if (target == nobody)
        flaws.push_back(
            {"dangling_reference", graph.offsets[i],
             fmt::format("#{} refers to #{}, which the file does not define; the file is incomplete",
                         graph.ids[i], graph.references[k])});
      graph.references[k] = target;
    }
  }
  return flaws;
}

PlacementCount count_placements(const ReferenceGraph& graph, std::vector<Flaw>& circle) {
  Walk walk(graph);
  if (walk.run()) return walk.count();
  circle.push_back(walk.circle());
  return {};
}

}  // namespace corefeed::worker
