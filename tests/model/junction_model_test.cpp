// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <ostream>
#include <string>

#include "corefeed/model/build.hpp"
#include "tests/model/small_model.hpp"

namespace corefeed::model {
namespace {

using testing::changed;
using testing::parse;
using testing::sound;

constexpr std::string_view cone =
    R"("cone": {"kind": "diffuser", "from": "front", "to": "face", "inlet_area": "400 cm2", "outlet_area": "1500 cm2", "length": "300 mm"})";

// The duct behind the mouth divides: one leg to the radiator's diffuser, one to the bay. Both legs' nodes
// join two ends, so neither is described.
constexpr std::string_view tee =
    R"("tee": {"kind": "junction", "ports": {"common": "front", "straight": "throat", "branch": "side"}, "areas": {"common": "400 cm2", "straight": "400 cm2", "branch": "100 cm2"}},
      "cone": {"kind": "diffuser", "from": "throat", "to": "face", "inlet_area": "400 cm2", "outlet_area": "1500 cm2", "length": "300 mm"},
      "pipe": {"kind": "duct", "from": "side", "to": "bay", "length": "0.5 m", "area": "100 cm2", "hydraulic_diameter": "100 mm"})";

std::string divided() { return changed(cone, tee); }

TEST(JunctionModel, IsReadWithItsThreeNodes) {
  const Model model = sound(divided());
  const Element& element = *model.find_element("tee");
  EXPECT_EQ(element.from, "front");
  EXPECT_EQ(element.to, "throat");
  EXPECT_EQ(element.branch, "side");
  EXPECT_EQ(testing::number_of(model, "tee", "areas.branch"), 0.01);
  // A square tee with sharp corners unless the model says more.
  EXPECT_DOUBLE_EQ(testing::number_of(model, "tee", "angle"), 1.5707963267948966);
  EXPECT_EQ(testing::number_of(model, "tee", "corner_radius"), 0.0);
}

TEST(JunctionModel, IsBuiltAsTwoLegsThatKnowEachOther) {
  const Model model = sound(divided());
  const Built built = build(model, model.points.front());
  const auto& net = built.problem.network;
  const std::vector<int>& legs = built.parts[1];
  ASSERT_EQ(legs.size(), 2u);
  const network::Element& straight = net.elements[static_cast<std::size_t>(legs[0])];
  const network::Element& branch = net.elements[static_cast<std::size_t>(legs[1])];
  EXPECT_EQ(straight.name, "tee/straight");
  EXPECT_EQ(branch.name, "tee/branch");
  EXPECT_EQ(straight.leg, losses::Leg::straight);
  EXPECT_EQ(branch.leg, losses::Leg::branch);
  EXPECT_EQ(straight.sibling, legs[1]);
  EXPECT_EQ(branch.sibling, legs[0]);
  const auto node = [&net](int index) { return net.nodes[static_cast<std::size_t>(index)].name; };
  EXPECT_EQ(node(straight.from), "front");
  EXPECT_EQ(node(straight.to), "throat");
  EXPECT_EQ(node(branch.from), "front");
  EXPECT_EQ(node(branch.to), "side");
  EXPECT_EQ(straight.numbers, branch.numbers);
}

// Only the legs' own areas are compared with what stands behind them.
TEST(JunctionModel, WarnsOfAPortThatDoesNotFitItsDuct) {
  const auto warnings = [](const std::string& text) {
    const Model model = sound(text);
    return model_warnings(model, build(model, model.points.front()));
  };
  EXPECT_TRUE(warnings(divided()).empty());
  const auto narrow = warnings(changed(R"("branch": "100 cm2")", R"("branch": "80 cm2")", divided()));
  ASSERT_EQ(narrow.size(), 1u);
  EXPECT_EQ(narrow[0].code, "area_mismatch");
  EXPECT_NE(narrow[0].text.find("add a step from 80 cm2 to 100 cm2"), std::string::npos) << narrow[0].text;
}

struct Fault {
  const char* name;
  std::string_view from, to;
  std::string code;
  std::string pointer;
  int line;
  std::string fragment;
  friend std::ostream& operator<<(std::ostream& out, const Fault& fault) { return out << fault.name; }
};

class JunctionErrors : public ::testing::TestWithParam<Fault> {};

TEST_P(JunctionErrors, AreReportedWithPlaceAndHelp) {
  const Fault& fault = GetParam();
  const auto model = parse(changed(fault.from, fault.to, divided()));
  ASSERT_FALSE(model.ok());
  const auto found = std::find_if(model.issues().begin(), model.issues().end(), [&fault](const Issue& issue) {
    return issue.code == fault.code && issue.place.pointer == fault.pointer;
  });
  ASSERT_NE(found, model.issues().end()) << describe(model.issues().front());
  EXPECT_EQ(found->place.line, fault.line);
  EXPECT_EQ(found->status, Status::input);
  EXPECT_NE(found->text.find(fault.fragment), std::string::npos) << found->text;
}

const Fault faults[] = {
    {"NoPorts", R"("ports": {"common": "front", "straight": "throat", "branch": "side"}, )", "",
     "missing_key", "/air/elements/tee", 8, "the nodes at its ports common, straight and branch"},
    {"PortsAsAList", R"({"common": "front", "straight": "throat", "branch": "side"})",
     R"(["front", "throat", "side"])", "wrong_type", "/air/elements/tee/ports", 8, "expected"},
    {"NoBranch", R"(, "branch": "side")", "", "missing_key", "/air/elements/tee/ports", 8, "\"branch\""},
    {"UnknownPort", R"("branch": "side")", R"("branch": "side", "left": "face")", "unknown_key",
     "/air/elements/tee/ports/left", 8, "known here: common, straight, branch"},
    {"MisspeltPort", R"("branch": "side")", R"("brnach": "side")", "unknown_key",
     "/air/elements/tee/ports/brnach", 8, "did you mean \"branch\"?"},
    {"FromBesidePorts", R"("ports")", R"("from": "front", "ports")", "unknown_key", "/air/elements/tee/from",
     8, "unknown key \"from\""},
    {"BadNodeName", R"("branch": "side")", R"("branch": "the side")", "bad_name",
     "/air/elements/tee/ports/branch", 8, "the side"},
    {"LonelyNode", R"("branch": "side")", R"("branch": "sied")", "unknown_node",
     "/air/elements/tee/ports/branch", 8, "did you mean \"side\"?"},
    {"LonelyCommon", R"("common": "front")", R"("common": "frnt")", "unknown_node",
     "/air/elements/tee/ports/common", 8, "did you mean \"front\"?"},
    {"NoBranchArea", R"(, "branch": "100 cm2"})", "}", "missing_key", "/air/elements/tee", 8, "areas.branch"},
    {"MisspeltArea", R"("branch": "100 cm2")", R"("brnch": "100 cm2")", "unknown_key",
     "/air/elements/tee/areas/brnch", 8, "did you mean \"branch\"?"},
    {"AngleOutOfBounds", R"("areas")", R"("angle": "190 deg", "areas")", "out_of_bounds",
     "/air/elements/tee/angle", 8, "190 deg"},
};

INSTANTIATE_TEST_SUITE_P(Faults, JunctionErrors, ::testing::ValuesIn(faults),
                         [](const auto& one) { return std::string(one.param.name); });

// A described node that only a junction's port names is in use; with three ends it has to be described.
TEST(JunctionModel, CountsItsNodesAsUsed) {
  EXPECT_TRUE(parse(changed(R"("bay": {"kind": "plenum"})",
                            R"("bay": {"kind": "plenum"}, "side": {"kind": "duct"})", divided()))
                  .ok());
  const auto model = parse(changed(R"("pipe": {)",
                                   R"("slit": {"kind": "leak", "from": "side", "to": "bay", "area": "1 cm2"},
      "pipe": {)",
                                   divided()));
  ASSERT_FALSE(model.ok());
  EXPECT_EQ(model.issues()[0].code, "undescribed_node");
  EXPECT_EQ(model.issues()[0].place.pointer, "/air/elements/tee/ports/branch");
}

TEST(JunctionModel, RefusesARunThatEndsWhereItBegins) {
  const auto model = parse(changed(R"("straight": "throat")", R"("straight": "front")", divided()));
  ASSERT_FALSE(model.ok());
  EXPECT_TRUE(std::any_of(model.issues().begin(), model.issues().end(), [](const Issue& issue) {
    return issue.code == "self_loop" && issue.place.pointer == "/air/elements/tee";
  }));
}

}  // namespace
}  // namespace corefeed::model
