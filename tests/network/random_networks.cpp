// SPDX-License-Identifier: Apache-2.0
#include "tests/network/random_networks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "corefeed/network/certificate.hpp"
#include "tests/support/typical_element.hpp"

namespace corefeed::network::testing {
namespace {

using corefeed::testing::Variant;
using losses::Ends;
using losses::Kind;

/// Where nobody says otherwise.
constexpr int usual_branches = 60;

std::size_t at(int index) { return static_cast<std::size_t>(index); }

/// Whether an element of the kind may stand in the air.
bool for_air(const Kind& kind) { return kind.law != nullptr && kind.carries != losses::Carries::liquid; }

/// The rows of one kind that a model could hold.
const std::vector<Variant>& variants(const Kind& kind) {
  static const std::map<const Kind*, std::vector<Variant>> all = [] {
    std::map<const Kind*, std::vector<Variant>> made;
    for (const Kind* one : losses::kinds()) {
      if (for_air(*one)) made[one] = corefeed::testing::variants_of(*one);
    }
    return made;
  }();
  return all.at(&kind);
}

class Maker {
 public:
  Maker(Random random, bool monotone, int most_branches)
      : random_(random), monotone_(monotone), most_branches_(most_branches) {}

  cooling::Case make() {
    set_outside();
    const int branches = random_.count(std::min(5, most_branches_), most_branches_);
    wild_ = random_.chance(0.2);
    grow_tree(std::max(2, static_cast<int>(branches * random_.between(0.35, 0.75))));
    open_to_outside(branches);
    if (random_.chance(0.1)) add_bridge();
    if (!monotone_ && random_.chance(0.4)) add_junctions(random_.count(1, 3));
    while (count() < branches) add_between(random_.count(0, last_node()), random_.count(0, last_node()));
    connect_neighbors(net_);
    problem_.network = net_;
    problem_.loop_of.assign(net_.elements.size(), none);
    if (!monotone_) add_loops();
    return std::move(problem_);
  }

 private:
  int count() const { return static_cast<int>(net_.elements.size()); }
  int last_node() const { return static_cast<int>(net_.nodes.size()) - 1; }

  void set_outside() {
    const double speed = random_.chance(0.15) ? 0.0 : random_.between(3.0, 90.0);
    const double temperature = random_.between(263.0, 318.0);
    const double yaw = random_.chance(0.2) ? random_.between(-0.3, 0.3) : 0.0;
    const fluids::Air air = fluids::humid_air(temperature, 1e5, random_.between(0.0, 0.9));
    net_.outside = losses::surroundings_of(air, random_.between(8e4, 1.03e5), temperature, speed, yaw);
  }

  int add_node() {
    Node node;
    node.name = fmt::format("n{}", net_.nodes.size());
    node.kind = random_.chance(0.4) ? NodeKind::plenum : NodeKind::duct;
    net_.nodes.push_back(node);
    return last_node();
  }

  /// Long chains with branches, as ducts have them.
  void grow_tree(int nodes) {
    add_node();
    while (static_cast<int>(net_.nodes.size()) < nodes) {
      const int old = last_node();
      const int before = random_.chance(0.6) ? old : random_.count(0, old);
      const int behind = add_node();
      random_.chance(0.8) ? add_between(before, behind) : add_between(behind, before);
    }
  }

  void open_to_outside(int branches) {
    add(pick({"inlet"}), none, 0);
    add(pick({"vent"}), random_.count(0, last_node()), none);
    for (int more = random_.count(0, std::max(1, branches / 6)); more > 0; --more) {
      const int node = random_.count(0, last_node());
      random_.chance(0.4) ? add(pick({"inlet"}), none, node) : add(pick({"vent"}), node, none);
    }
    for (Node& node : net_.nodes) {
      if (!random_.chance(0.04)) continue;
      node.kind = NodeKind::fixed_pressure;
      node.total_pressure = random_.chance(0.2) ? 0.0 : random_.between(-1500.0, 2500.0);
      node.temperature = random_.chance(0.5) ? net_.outside.total_temperature : random_.between(260.0, 380.0);
    }
  }

  /// Wheatstone's bridge in balance: nothing flows through its middle.
  void add_bridge() {
    const int top = random_.count(0, last_node());
    const int bottom = random_.count(0, last_node());
    if (top == bottom) return;
    const int left = add_node();
    const int right = add_node();
    net_.nodes[at(right)].kind = net_.nodes[at(left)].kind;
    const Kind& upper = pick({"loss", "duct", "screen"});
    add(upper, top, left);
    copy_last(top, right);
    add(upper, left, bottom);
    copy_last(right, bottom);
    add(pick({"loss", "leak", "orifice"}), left, right);
  }

  void copy_last(int from, int to) {
    Element twin = net_.elements.back();
    twin.name += "_twin";
    twin.from = from;
    twin.to = to;
    net_.elements.push_back(twin);
  }

  void add_junctions(int wanted) {
    for (int i = 0; i < wanted; ++i) {
      const int from = random_.count(0, last_node());
      const int branch = random_.count(0, last_node());
      if (from == branch) continue;
      const int straight = random_.chance(0.5) ? add_node() : random_.count(0, last_node());
      if (straight == from || straight == branch) continue;
      add(pick({"junction"}), from, straight);
      Element leg = net_.elements.back();
      const int first = count() - 1;
      leg.name += "_branch";
      leg.to = branch;
      leg.leg = losses::Leg::branch;
      leg.sibling = first;
      net_.elements.push_back(leg);
      net_.elements[at(first)].sibling = first + 1;
    }
  }

  void add_between(int from, int to) {
    if (from == to) return;
    if (wild_ && random_.chance(0.4)) return add(pick({"loss", "leak", "flap", "loss"}), from, to);
    if (random_.chance(0.12)) return add(pick({"fan"}), from, to);
    if (random_.chance(0.08)) return add(pick({"core"}), from, to);
    std::vector<const Kind*> kinds;
    for (const Kind* kind : losses::kinds()) {
      if (for_air(*kind) && kind->ends == Ends::both) kinds.push_back(kind);
    }
    add(*kinds[at(random_.count(0, static_cast<int>(kinds.size()) - 1))], from, to);
  }

  const Kind& pick(const std::vector<std::string_view>& names) {
    return *losses::find_kind(names[at(random_.count(0, static_cast<int>(names.size()) - 1))]);
  }

  void add(const Kind& kind, int from, int to) {
    Element element;
    element.name = fmt::format("{}{}", kind.name, net_.elements.size());
    element.kind = &kind;
    element.from = from;
    element.to = to;
    do fill(element);
    while (monotone_ && !is_monotone(element));
    net_.elements.push_back(std::move(element));
  }

  /// A random row of the kind with its numbers shaken; where they then contradict each other, unshaken.
  void fill(Element& element) {
    const std::vector<Variant>& rows = variants(*element.kind);
    const corefeed::testing::LawCase& row = rows[at(random_.count(0, static_cast<int>(rows.size()) - 1))].law;
    element.numbers = row.numbers;
    element.given = row.given;
    element.curves = row.curves;
    for (int attempt = 0; attempt < 5; ++attempt) {
      for (std::size_t i = 0; i < row.numbers.size(); ++i)
        element.numbers[i] = shaken(element, i, row.numbers[i]);
      if (consistent(element)) break;
      element.numbers = row.numbers;
    }
    if (element.kind->name == "fan") set_fan(element);
    if (wild_) run_wild(element);
  }

  bool consistent(const Element& element) const {
    return element.kind->contradiction == nullptr || element.kind->contradiction(element.values()).empty();
  }

  double shaken(const Element& element, std::size_t place, double value) {
    const losses::Key& key = element.kind->keys[place];
    const bool given = (element.given >> place & 1U) != 0;
    // Drawn for what may move alone: the numbers that follow depend on it.
    if (corefeed::testing::stays(key, given)) return value;
    if (key.name == "cp") return std::clamp(random_.between(-0.8, 1.0), key.lowest, key.highest);
    return corefeed::testing::multiplied(key, value, random_.log_between(0.3, 2.5));
  }

  void set_fan(Element& fan) {
    fan.fan_state =
        random_.chance(0.6) ? losses::FanState::on : static_cast<losses::FanState>(random_.count(1, 3));
    const std::size_t points = losses::find_key(*fan.kind, "curve.points");
    if ((fan.given >> points & 1U) == 0) return;
    // Shut-off, the dip of the stall, the top behind it and free flow.
    const double flow = random_.log_between(0.2, 2.0);
    const double rise = random_.log_between(40.0, 1500.0);
    const double dip = random_.between(0.45, 1.0);
    const double top = random_.between(0.7, 1.3);
    fan.curves[points] = std::make_shared<const losses::Curve>(
        std::vector<double>{0.0, 0.25 * flow, 0.45 * flow, 0.7 * flow, flow},
        std::vector<double>{rise, dip * rise, top * rise, 0.6 * top * rise, 0.0}, 0, false);
  }

  /// Twelve decades of coefficients, cracks, flaps that shut for good.
  void run_wild(Element& element) {
    const auto set = [&](std::string_view name, double low, double high) {
      const std::size_t place = losses::find_key(*element.kind, name);
      if (place == losses::npos || (element.given >> place & 1U) == 0) return;
      element.numbers[place] = random_.log_between(low, high);
    };
    if (element.kind->name == "loss") set("loss", 1e-6, 1e6);
    if (element.kind->name == "leak") set("area", 1e-10, 1e-2);
    if (element.kind->name != "flap") return;
    const std::size_t shut = losses::find_key(*element.kind, "reverse_loss");
    element.numbers[shut] = random_.log_between(1e2, 1e9);
    element.given |= std::uint64_t{1} << shut;
  }

  void add_loops() {
    std::vector<std::size_t> cores;
    for (std::size_t e = 0; e < net_.elements.size(); ++e) {
      if (losses::is_air_core(*net_.elements[e].kind)) cores.push_back(e);
    }
    if (cores.empty() || random_.chance(0.3)) return;
    const int loops = random_.count(1, 2);
    for (int l = 0; l < loops; ++l) {
      cooling::Loop loop;
      loop.name = fmt::format("loop{}", l);
      loop.fluid =
          fluids::constant_liquid(random_.between(1900.0, 4200.0), unknown, unknown, unknown).value();
      loop.flow = random_.log_between(0.1, 3.0);
      loop.heat_load = random_.log_between(1e3, 8e4);
      problem_.loops.push_back(loop);
    }
    for (const std::size_t core : cores) {
      if (random_.chance(0.6)) problem_.loop_of[core] = random_.count(0, loops - 1);
    }
  }

  static constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

  Random random_;
  bool monotone_;
  int most_branches_;
  bool wild_ = false;
  Network net_;
  cooling::Case problem_;
};

}  // namespace

std::uint64_t Random::next() {
  if (bytes_.size() >= 2) {
    const auto high = static_cast<unsigned char>(bytes_[0]);
    const auto low = static_cast<unsigned char>(bytes_[1]);
    bytes_.remove_prefix(2);
    // At both ends: shares are made of the upper bits, counts of the lower ones.
    return ((std::uint64_t{high} << 8U) + low) * 0x0001000100010001ULL;
  }
  state_ += 0x9e3779b97f4a7c15ULL;
  std::uint64_t mixed = state_;
  mixed = (mixed ^ (mixed >> 30U)) * 0xbf58476d1ce4e5b9ULL;
  mixed = (mixed ^ (mixed >> 27U)) * 0x94d049bb133111ebULL;
  return mixed ^ (mixed >> 31U);
}

double Random::between(double low, double high) {
  return low + (high - low) * (static_cast<double>(next() >> 11U) * 0x1p-53);
}

double Random::log_between(double low, double high) { return low * std::pow(high / low, between(0.0, 1.0)); }

int Random::count(int low, int high) {
  return low + static_cast<int>(next() % static_cast<std::uint64_t>(high - low + 1));
}

cooling::Case random_case(Random random, bool monotone, int most_branches) {
  return Maker(random, monotone, most_branches).make();
}

cooling::Case random_case(std::uint64_t seed) { return random_case(Random(seed), false, usual_branches); }

cooling::Case random_monotone_case(std::uint64_t seed) {
  return random_case(Random(seed), true, usual_branches);
}

std::string description(const cooling::Case& problem) {
  const Network& net = problem.network;
  std::string text = fmt::format("speed {}\n", net.outside.speed);
  for (const Node& node : net.nodes) {
    constexpr const char* kinds[] = {"duct", "plenum", "fixed"};
    text += fmt::format("{} {} {} {}\n", node.name, kinds[static_cast<int>(node.kind)], node.total_pressure,
                        node.temperature);
  }
  for (std::size_t e = 0; e < net.elements.size(); ++e) {
    const Element& element = net.elements[e];
    const auto name = [&net](int node) { return node == none ? std::string("-") : net.nodes[at(node)].name; };
    text += fmt::format("{} {} > {} loop {} state {}:", element.name, name(element.from), name(element.to),
                        problem.loop_of[e], static_cast<int>(element.fan_state));
    for (std::size_t i = 0; i < element.numbers.size(); ++i) {
      if ((element.given >> i & 1U) == 0) continue;
      text += fmt::format(" {}={:.5g}", element.kind->keys[i].name, element.numbers[i]);
    }
    text += "\n";
  }
  return text;
}

}  // namespace corefeed::network::testing
