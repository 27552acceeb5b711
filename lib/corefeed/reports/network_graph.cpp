// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/network_graph.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace corefeed::reports {
namespace {

using network::none;

/// Below this a stream stands still for a reader; what the solver leaves of no flow is far below, kg/s.
constexpr double still = 1e-6;

/// Where an element meets a node.
struct Port {
  std::size_t box = 0;
  std::string node;
  bool left = true;  ///< the picture has the node on the left of the box
  double flow = 0;   ///< kg/s, from left to right
  bool backward = false;
  bool of_junction = false;
};

std::string_view kind_of(const losses::Kind& kind) {
  if (losses::word_of(kind) == "core" || kind.name == "liquid_cooler") return "core";
  if (kind.ends == losses::Ends::no_from || kind.ends == losses::Ends::no_to) return "opening";
  return kind.name == "fan" || kind.name == "pump" || kind.name == "oil_pump" ? "fan" : "element";
}

double flow_of(const studies::PointResult& point, const model::Element& element,
               const std::vector<int>& parts) {
  if (const auto whole = point.solution.value(element.name + ".flow")) return *whole;
  return parts.empty() ? 0.0 : point.solution.elements[static_cast<std::size_t>(parts.front())].flow;
}

std::string flow_text(double flow) {
  return units::show(std::abs(flow) < still ? 0.0 : std::abs(flow), units::Quantity::mass_flow, 3);
}

class Builder {
 public:
  Builder(const model::Model& model, const studies::PointResult& point, std::string_view loop)
      : model_(model), point_(point), loop_(loop) {}

  NetworkGraph build() {
    for (std::size_t e = 0; e < model_.elements.size(); ++e) {
      if (model_.elements[e].in_loop == loop_) add(model_.elements[e], point_.built.parts[e]);
    }
    find_backward();
    for (const Port& port : ports_) {
      graph_.streams.push_back({port.box, dot(port.node), port.left, port.flow, port.backward,
                                !port.of_junction && graph_.boxes[port.box].reversed});
    }
    mark_ends();
    return std::move(graph_);
  }

 private:
  void add(const model::Element& element, const std::vector<int>& parts) {
    const bool junction = element.numbers.kind->ends == losses::Ends::three_ports;
    const double flow = flow_of(point_, element, parts);
    const std::size_t box = graph_.boxes.size();
    graph_.boxes.push_back({.name = element.name,
                            .flow = flow_text(flow),
                            .kind = std::string(kind_of(*element.numbers.kind)),
                            .reversed = !junction && flow < -still && element.numbers.kind->name != "supply",
                            .last = false});
    if (junction) return add_junction(element, parts, box);
    if (!element.from.empty()) ports_.push_back({box, element.from, true, flow, false, false});
    if (!element.to.empty()) ports_.push_back({box, element.to, false, flow, false, false});
  }

  /// Streams join or part there: a port stands on the left where its stream enters.
  void add_junction(const model::Element& element, const std::vector<int>& parts, std::size_t box) {
    const double straight = point_.solution.elements[static_cast<std::size_t>(parts[0])].flow;
    const double branch = point_.solution.elements[static_cast<std::size_t>(parts[1])].flow;
    const auto add_port = [&](const std::string& node, double into) {
      ports_.push_back({box, node, into >= 0, std::abs(into), false, true});
    };
    add_port(element.from, straight + branch);
    add_port(element.to, -straight);
    add_port(element.branch, -branch);
  }

  /// Walks from the openings along the larger flows; what leads to a node that the walk is still on leads
  /// back, and is turned so that the node stands on its left.
  void find_backward() {
    for (std::size_t b = 0; b < graph_.boxes.size(); ++b) {
      const bool opening = std::none_of(ports_.begin(), ports_.end(),
                                        [b](const Port& port) { return port.box == b && port.left; });
      if (opening) pass(b);
    }
    for (std::size_t p = 0; p < ports_.size(); ++p) {
      if (ports_[p].left) walk(std::string(ports_[p].node));
    }
  }

  void walk(const std::string& node) {
    if (!entered_.insert(node).second) return;
    std::vector<std::size_t> next;
    for (std::size_t p = 0; p < ports_.size(); ++p) {
      if (ports_[p].left && ports_[p].node == node) next.push_back(p);
    }
    std::stable_sort(next.begin(), next.end(), [this](std::size_t a, std::size_t b) {
      return std::abs(ports_[a].flow) > std::abs(ports_[b].flow);
    });
    for (const std::size_t p : next) {
      // Another way to the same box may have turned it since.
      if (ports_[p].left && !ports_[p].backward) pass(ports_[p].box);
    }
    done_.insert(node);
  }

  void pass(std::size_t box) {
    for (std::size_t p = 0; p < ports_.size(); ++p) {
      if (ports_[p].box != box || ports_[p].left || ports_[p].backward) continue;
      const bool leads_back = entered_.count(ports_[p].node) > 0 && done_.count(ports_[p].node) == 0;
      if (!leads_back) {
        walk(std::string(ports_[p].node));
      } else if (ports_[p].of_junction) {
        turn(ports_[p]);
      } else {
        for (Port& port : ports_) {
          if (port.box == box) turn(port);
        }
      }
    }
  }

  static void turn(Port& port) {
    port.left = !port.left;
    port.flow = -port.flow;
    port.backward = true;
  }

  std::size_t dot(const std::string& name) {
    const auto found = dots_.find(name);
    if (found != dots_.end()) return found->second;
    NetworkDot made{.name = name, .kind = network::NodeKind::duct, .joint = false};
    for (const model::Node& node : model_.nodes) {
      if (node.name == name && node.in_loop == loop_) made.kind = node.kind;
    }
    graph_.dots.push_back(std::move(made));
    dots_[name] = graph_.dots.size() - 1;
    return graph_.dots.size() - 1;
  }

  void mark_ends() {
    for (std::size_t d = 0; d < graph_.dots.size(); ++d) {
      const auto met = std::count_if(graph_.streams.begin(), graph_.streams.end(),
                                     [d](const auto& one) { return one.dot == d; });
      graph_.dots[d].joint = met <= 2 && graph_.dots[d].kind == network::NodeKind::duct;
    }
    for (std::size_t b = 0; b < graph_.boxes.size(); ++b) {
      graph_.boxes[b].last = std::none_of(graph_.streams.begin(), graph_.streams.end(),
                                          [b](const auto& one) { return one.box == b && !one.into_box; });
    }
  }

  const model::Model& model_;
  const studies::PointResult& point_;
  std::string_view loop_;
  NetworkGraph graph_;
  std::vector<Port> ports_;
  std::set<std::string> entered_;  ///< nodes that the walk has come to
  std::set<std::string> done_;     ///< and those it has left for good
  std::map<std::string, std::size_t> dots_;
};

}  // namespace

NetworkGraph network_graph(const model::Model& model, const studies::PointResult& point,
                           std::string_view loop) {
  return Builder(model, point, loop).build();
}

}  // namespace corefeed::reports
