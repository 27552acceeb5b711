// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/propose.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

// Which element a part becomes, and what is left open, by the words of docs/measuring.md.
namespace corefeed::proposal {
namespace {

worker::Opening end_of(const std::string& name, const worker::Point& center, double normal_x) {
  worker::Opening opening;
  opening.name = name;
  opening.area = 0.04;
  opening.perimeter = 0.8;
  opening.hydraulic_diameter = 0.2;
  opening.center = center;
  opening.normal = {normal_x, 0, 0};
  return opening;
}

/// A straight duct along x.
worker::Part duct(const std::string& name, double from, double to) {
  worker::Part part;
  part.name = name;
  part.kind = "flow volume";
  part.openings = {end_of(name + ".from", {from, 0, 0}, -1), end_of(name + ".to", {to, 0, 0}, 1)};
  worker::Path path;
  path.from = name + ".from";
  path.to = name + ".to";
  path.length = to - from;
  path.pieces = {
      {"duct", 0, to - from, {{"length", to - from}, {"area", 0.04}, {"hydraulic_diameter", 0.2}}, {}, {}}};
  part.paths = {path};
  return part;
}

/// Two ducts in a row before a core, a duct behind it, a fender with two holes, a rail.
worker::Measurement assembly() {
  worker::Part core;
  core.name = "car/radiator";
  core.kind = "core";
  core.core = worker::Core{0.15, 0.15, 0.04, {1.03, 0, 0}, {1, 0, 0}, {}};
  worker::Part fender;
  fender.name = "car/fender";
  fender.kind = "panel";
  for (const char* name : {"cutout 1", "cutout 2"}) {
    worker::Cutout cutout;
    cutout.name = name;
    cutout.area = cutout.projected_area = 0.02;
    cutout.perimeter = 0.6;
    fender.cutouts.push_back(cutout);
  }
  fender.cutouts[0].blocked_by = {{"car/rail", 0.03, 0.4, 0.5, {}}};
  worker::Part rail;
  rail.name = "car/rail";
  rail.kind = "body";
  worker::Measurement measurement;
  measurement.parts = {duct("car/mouth duct", 0.0, 0.5),
                       duct("car/nose", 0.5, 1.0),
                       core,
                       duct("car/shroud", 1.06, 1.3),
                       fender,
                       rail};
  worker::Gap before;
  before.duct = "car/nose";
  before.core = "car/radiator";
  before.rim_length = 0.8;
  before.gap_area = 0.004;
  worker::Gap behind = before;
  behind.duct = "car/shroud";
  behind.gap_area = 0.0;
  measurement.gaps = {before, behind};
  return measurement;
}

std::string text_at(const Proposal& proposal, const std::string& pointer) {
  const model::Value* value = model::find_value(proposal.root, pointer);
  return value == nullptr ? std::string() : value->text;
}

const Decision* decision_at(const Proposal& proposal, const std::string& pointer) {
  for (const Decision& one : proposal.to_decide) {
    if (one.pointer == pointer) return &one;
  }
  return nullptr;
}

TEST(Propose, PartsBecomeElementsAndTouchingEndsShareNodes) {
  const auto made = propose(assembly(), "car.step");
  ASSERT_TRUE(made) << made.issues().front().text;
  const auto at = [&](const std::string& pointer) {
    return text_at(made.value(), "/air/elements/" + pointer);
  };
  EXPECT_EQ(at("mouth_duct_inlet/kind"), "inlet");
  EXPECT_EQ(at("mouth_duct_inlet/geometry/opening"), "car/mouth duct.from");
  EXPECT_EQ(at("mouth_duct/to"), at("nose/from"));
  EXPECT_EQ(at("nose/to"), "radiator_face");
  EXPECT_EQ(at("radiator/from"), "radiator_face");
  EXPECT_EQ(at("radiator/to"), "radiator_back");
  EXPECT_EQ(at("shroud/from"), "radiator_back");
  EXPECT_EQ(at("shroud/to"), "bay");
  EXPECT_EQ(at("radiator_gap/from"), "radiator_face");
  EXPECT_EQ(at("radiator_gap/geometry/gap"), "car/radiator");
  EXPECT_EQ(at("radiator_gap_2/kind"), "");  // the shroud's rim is seated
  EXPECT_EQ(at("fender_vent/geometry/cutout"), "cutout 1");
  EXPECT_EQ(at("fender_vent_2/geometry/cutout"), "cutout 2");
  EXPECT_EQ(text_at(made.value(), "/air/nodes/bay/kind"), "plenum");
}

TEST(Propose, WhatNoShapeTellsIsListed) {
  const auto made = propose(assembly(), "car.step");
  ASSERT_TRUE(made);
  for (const char* pointer :
       {"/air/elements/mouth_duct_inlet/cp", "/air/elements/radiator", "/air/elements/fender_vent/cp",
        "/air/elements/fender_vent", "/air/elements/shroud/to", "/ambient", "/points", "/loops"})
    EXPECT_NE(decision_at(made.value(), pointer), nullptr) << pointer;
  // Fed and drained by ducts: nothing to ask there.
  EXPECT_EQ(decision_at(made.value(), "/air/elements/radiator/from"), nullptr);
  EXPECT_EQ(decision_at(made.value(), "/air/elements/radiator/to"), nullptr);
  const model::Value* list = made.value().root.find("to_decide");
  ASSERT_NE(list, nullptr);
  EXPECT_EQ(list->items.size(), made.value().to_decide.size());
  ASSERT_EQ(made.value().left_out.size(), 1U);
  EXPECT_NE(made.value().left_out[0].find("covers 40 % of cutout 1 of car/fender"), std::string::npos);
}

Result<Binding> binding(const std::string& text) {
  const auto path = std::filesystem::path(::testing::TempDir()) / "binding.json";
  std::ofstream(path) << text;
  return read_binding(path.string());
}

TEST(Propose, ABindingSaysWhatPartsAre) {
  const auto rows = binding(R"({"parts": [
    {"part": "fender", "cutout": "cutout 2", "as": "ignore"},
    {"part": "*fender", "as": "vent", "element": "side_vent"},
    {"part": "shroud", "opening": "car/shroud.to", "as": "vent", "element": "floor_exit"},
    {"part": "mouth*", "as": "duct", "element": "front"}]})");
  ASSERT_TRUE(rows) << rows.issues().front().text;
  const auto made = propose(assembly(), "car.step", rows.value());
  ASSERT_TRUE(made) << made.issues().front().text;
  const auto at = [&](const std::string& pointer) {
    return text_at(made.value(), "/air/elements/" + pointer);
  };
  EXPECT_EQ(at("side_vent/geometry/cutout"), "cutout 1");
  EXPECT_EQ(at("fender_vent_2/kind"), "");
  EXPECT_EQ(at("floor_exit/from"), at("shroud/to"));
  EXPECT_EQ(at("front/kind"), "duct_path");
  EXPECT_EQ(decision_at(made.value(), "/air/elements/shroud/to"), nullptr);
}

TEST(Propose, FaultsOfABindingAreNamed) {
  const std::pair<const char*, const char*> wrong[] = {
      {R"({"parts": [{"part": "a", "as": "dukt"}]})", "expected duct, core"},
      {R"({"parts": [{"as": "duct"}]})", "\"part\" is missing"},
      {R"({"parts": [{"part": "a", "as": "duct", "kind": 3}]})", "\"kind\"; expected part"},
      {R"({"parts": [{"part": 3, "as": "duct"}]})", "expected a text"},
      {R"({"parts": [{"part": "a", "as": "vent", "cutout": "b", "opening": "c"}]})", "stand together"},
      {R"({"parts": 3})", "the list \"parts\""},
      {R"({"parts": [)", ""},
  };
  for (const auto& [text, words] : wrong) {
    const auto rows = binding(text);
    ASSERT_FALSE(rows) << text;
    EXPECT_NE(rows.issues().front().text.find(words), std::string::npos) << rows.issues().front().text;
    EXPECT_EQ(rows.issues().front().status, Status::input);
  }
  const auto unused = binding(R"({"parts": [{"part": "nosse", "as": "duct"}]})");
  const auto made = propose(assembly(), "car.step", unused.value());
  ASSERT_FALSE(made);
  EXPECT_EQ(made.issues().front().code, "unused_row");
  EXPECT_EQ(made.issues().front().place.pointer, "/parts/0");
  const auto rail = binding(R"({"parts": [{"part": "rail", "as": "core"}]})");
  EXPECT_EQ(propose(assembly(), "car.step", rail.value()).issues().front().code, "unknown_name");
  worker::Measurement bodies;
  bodies.parts = {assembly().parts.back()};
  EXPECT_EQ(propose(bodies, "rail.step").issues().front().code, "nothing_to_propose");
}

TEST(Propose, DuctsThatMeetHeadOnAndBranchesAreAsked) {
  worker::Measurement measurement;
  measurement.parts = {duct("a", 0.0, 0.5), duct("b", 0.5, 1.0)};
  // Turn b round: its last end now meets a's last end.
  std::swap(measurement.parts[1].paths[0].from, measurement.parts[1].paths[0].to);
  const auto made = propose(measurement, "car.step");
  ASSERT_TRUE(made);
  EXPECT_NE(decision_at(made.value(), "/air/elements/a"), nullptr);
  measurement.parts[0].paths.push_back(measurement.parts[0].paths[0]);
  const auto branched = propose(measurement, "car.step");
  ASSERT_TRUE(branched);
  EXPECT_NE(decision_at(branched.value(), "/air/elements"), nullptr);
}

}  // namespace
}  // namespace corefeed::proposal
