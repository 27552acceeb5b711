// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/build.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "tests/model/small_model.hpp"

namespace corefeed::model {
namespace {

using testing::changed;
using testing::sound;

constexpr std::string_view cone =
    R"("cone": {"kind": "diffuser", "from": "front", "to": "face", "inlet_area": "400 cm2", "outlet_area": "1500 cm2", "length": "300 mm"})";
constexpr std::string_view nose =
    R"("nose": {"kind": "duct_path", "from": "front", "to": "face", "pieces": [
        {"kind": "duct", "length": "0.4 m", "area": "400 cm2", "hydraulic_diameter": "200 mm"},
        {"kind": "bend", "angle": "45 deg", "radius": "300 mm", "area": "400 cm2", "hydraulic_diameter": "200 mm"},
        {"kind": "diffuser", "inlet_area": "400 cm2", "outlet_area": "1500 cm2", "angle": "20 deg"}]})";

std::size_t place_of(const Built& built, std::string_view element) {
  const auto& elements = built.problem.network.elements;
  const auto found =
      std::find_if(elements.begin(), elements.end(), [&](const auto& one) { return one.name == element; });
  EXPECT_NE(found, elements.end()) << element;
  return static_cast<std::size_t>(found - elements.begin());
}

const network::Element& element(const Built& built, std::string_view name) {
  return built.problem.network.elements.at(place_of(built, name));
}

std::string node(const Built& built, int index) {
  return index == network::none ? "" : built.problem.network.nodes.at(static_cast<std::size_t>(index)).name;
}

TEST(Build, JoinsElementsAtNodesByName) {
  const Model model = sound();
  const Built built = build(model, model.points.front());
  EXPECT_EQ(built.problem.network.elements.size(), 5u);
  EXPECT_EQ(built.problem.network.nodes.size(), 3u);
  EXPECT_EQ(node(built, element(built, "mouth").from), "");
  EXPECT_EQ(node(built, element(built, "mouth").to), "front");
  EXPECT_EQ(node(built, element(built, "cone").from), "front");
  EXPECT_EQ(node(built, element(built, "outlet").to), "");
  EXPECT_EQ(built.problem.network.outside.speed, 50.0);
  EXPECT_TRUE(built.problem.paths.empty());
}

TEST(Build, TellsNodesByKindWithDuctWhereNothingIsSaid) {
  std::string text = changed(R"("bay": {"kind": "plenum"})",
                             R"("bay": {"kind": "fixed_pressure", "total_pressure": "30 Pa"})");
  const Model model = sound(text);
  const Built built = build(model, model.points.front());
  for (const network::Node& one : built.problem.network.nodes) {
    if (one.name != "bay") {
      EXPECT_EQ(one.kind, network::NodeKind::duct) << one.name;
      continue;
    }
    EXPECT_EQ(one.kind, network::NodeKind::fixed_pressure);
    EXPECT_EQ(one.total_pressure, 30.0);
    EXPECT_EQ(one.temperature, model.temperature);
  }
}

TEST(Build, CouplesACoreToItsLoop) {
  const Model model = sound();
  const Built built = build(model, model.points.front());
  ASSERT_EQ(built.problem.loop_of.size(), 5u);
  EXPECT_EQ(built.problem.loop_of[place_of(built, "radiator")], 0);
  EXPECT_EQ(built.problem.loop_of[place_of(built, "seal")], network::none);
  ASSERT_EQ(built.problem.loops.size(), 1u);
  EXPECT_EQ(built.problem.loops[0].heat_load, 40e3);
  // A load without a band of its own is known to 10 %: common practice, no source.
  EXPECT_EQ(built.problem.loops[0].heat_load_sigma, 4e3);
}

TEST(Build, LetsAPointOverrule) {
  const std::string fan =
      R"("fan": {"kind": "fan", "from": "face", "to": "bay", "area": "500 cm2", "curve": {"shutoff_pressure": "180 Pa", "free_flow": "0.7 m3/s"}}, "seal": {)";
  std::string text = changed(R"("seal": {)", fan);
  text = changed(
      R"("speed": "180 km/h"})",
      R"("speed": "180 km/h", "heat_load": {"coolant": "50 kW"}, "cp": {"outlet": -0.1}, "fans": {"fan": "stopped"}},
                    {"name": "idle", "speed": "0 km/h"})",
      text);
  const Model model = sound(text);
  const Built fast = build(model, model.points[0]);
  const Built idle = build(model, model.points[1]);
  const auto cp = [](const Built& built) {
    const network::Element& outlet = element(built, "outlet");
    return outlet.numbers[losses::find_key(*outlet.kind, "cp")];
  };
  EXPECT_EQ(cp(fast), -0.1);
  EXPECT_EQ(cp(idle), -0.4);
  EXPECT_EQ(fast.problem.loops[0].heat_load, 50e3);
  EXPECT_EQ(idle.problem.loops[0].heat_load, 40e3);
  EXPECT_EQ(element(fast, "fan").fan_state, losses::FanState::stopped);
  EXPECT_EQ(element(idle, "fan").fan_state, losses::FanState::on);
}

TEST(Build, TakesACpThatOnlyThePointsGive) {
  const Model model =
      sound(changed(R"("speed")", R"("cp": {"outlet": -0.3}, "speed")", changed(R"(, "cp": -0.4)", "")));
  const Built built = build(model, model.points.front());
  const network::Element& outlet = element(built, "outlet");
  const std::size_t cp = losses::find_key(*outlet.kind, "cp");
  EXPECT_EQ(outlet.numbers[cp], -0.3);
  EXPECT_NE(outlet.given >> cp & 1U, 0u);
}

TEST(Build, PutsAPathsPiecesInSeries) {
  const Model model = sound(changed(cone, nose));
  const Built built = build(model, model.points.front());
  ASSERT_EQ(built.problem.paths.size(), 1u);
  const cooling::Path& path = built.problem.paths[0];
  EXPECT_EQ(path.name, "nose");
  ASSERT_EQ(path.elements.size(), 3u);
  std::string from = "front";
  for (const int piece : path.elements) {
    const network::Element& one = built.problem.network.elements.at(static_cast<std::size_t>(piece));
    EXPECT_EQ(node(built, one.from), from);
    from = node(built, one.to);
  }
  EXPECT_EQ(from, "face");
  EXPECT_EQ(built.parts[1], path.elements);
  EXPECT_EQ(built.problem.network.elements[static_cast<std::size_t>(path.elements[1])].name, "nose/2 bend");
}

TEST(Build, LetsTheDiffuserAtAPathsEndKnowItsCore) {
  const Model found = sound(changed(cone, nose));
  const Built built = build(found, found.points.front());
  const int core = static_cast<int>(place_of(built, "radiator"));
  EXPECT_EQ(element(built, "nose/3 diffuser").feeds, core);
  EXPECT_EQ(element(built, "radiator").fed_by, static_cast<int>(place_of(built, "nose/3 diffuser")));
  // Two cores behind one duct: neither is taken unless the model names it.
  const std::string second =
      R"("second": {"kind": "core", "from": "face", "to": "bay", "face_area": "100 cm2", "air_loss": {"linear": "24 Pa s/m", "quadratic": "6 Pa s2/m2"}}, "seal": {)";
  const std::string text = changed(R"("seal": {)", second, changed(cone, nose));
  const Model open = sound(text);
  EXPECT_EQ(element(build(open, open.points.front()), "nose/3 diffuser").feeds, network::none);
  const Model named = sound(changed(R"("pieces")", R"("feeds": "second", "pieces")", text));
  const Built chosen = build(named, named.points.front());
  EXPECT_EQ(element(chosen, "nose/3 diffuser").feeds, static_cast<int>(place_of(chosen, "second")));
}

std::vector<Issue> warnings_of(const std::string& text) {
  const Model model = sound(text);
  return model_warnings(model, build(model, model.points.front()));
}

TEST(Build, WarnsOfSectionsThatDoNotFit) {
  // "cone" begins with the inlet's 400 cm2 and ends with the core's 1500 cm2.
  EXPECT_TRUE(warnings_of(std::string(testing::small_text)).empty());
  EXPECT_TRUE(warnings_of(changed(R"("inlet_area": "400 cm2")", R"("inlet_area": "385 cm2")")).empty());
  const std::vector<Issue> narrow =
      warnings_of(changed(R"("inlet_area": "400 cm2")", R"("inlet_area": "300 cm2")"));
  ASSERT_EQ(narrow.size(), 1u);
  EXPECT_EQ(narrow[0].code, "area_mismatch");
  EXPECT_EQ(narrow[0].severity, Severity::warning);
  EXPECT_EQ(narrow[0].place.file, "car.json");
  EXPECT_EQ(narrow[0].place.pointer, "/air/elements/cone");
  EXPECT_NE(narrow[0].text.find("add a step from 400 cm2 to 300 cm2"), std::string::npos) << narrow[0].text;
}

TEST(Build, WarnsWhereALawHoldsANumber) {
  const std::vector<Issue> aft = warnings_of(
      changed(R"("discharge_coefficient": 0.62)",
              R"("discharge_coefficient": 1.0, "jet_angle": "0 deg", "cross_stream_ratio": 0.05)"));
  ASSERT_EQ(aft.size(), 1u);
  EXPECT_EQ(aft[0].code, "mended");
  EXPECT_EQ(aft[0].place.pointer, "/air/elements/outlet");
}

TEST(Build, ListsWhatTheModelDoesNotSay) {
  const std::vector<Assumption> list = assumptions(sound());
  const auto find = [&list](std::string_view owner, std::string_view key) {
    return std::find_if(list.begin(), list.end(),
                        [&](const Assumption& one) { return one.element == owner && one.parameter == key; });
  };
  ASSERT_NE(find("mouth", "recovery"), list.end());
  EXPECT_EQ(find("mouth", "recovery")->value, 0.70);
  EXPECT_NE(find("mouth", "recovery")->source.find("Mossman"), std::string::npos);
  ASSERT_NE(find("cone", "shape"), list.end());
  EXPECT_EQ(find("cone", "shape")->choice, "conical");
  EXPECT_NE(find("radiator", "air_loss.density"), list.end());
  // Given, or without effect: a vent without blocker has no open share.
  EXPECT_EQ(find("mouth", "cp"), list.end());
  EXPECT_EQ(find("outlet", "blocker.open_share"), list.end());
}

TEST(Build, ListsTheAssumptionsOfPieces) {
  const std::vector<Assumption> list = assumptions(sound(changed(cone, nose)));
  EXPECT_TRUE(std::any_of(list.begin(), list.end(), [](const Assumption& one) {
    return one.element == "nose/1 duct" && one.parameter == "roughness";
  }));
}

}  // namespace
}  // namespace corefeed::model
