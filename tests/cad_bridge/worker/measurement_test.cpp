// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/measurement.hpp"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "tests/cad_bridge/worker/fake_worker.hpp"

namespace corefeed::worker {
namespace {

using Json = nlohmann::json;

/// Every key that a measurement can have, once.
const std::string full = R"({"file":"a.step","unit":"mm","bounding_box":[[0,1,2],[3,4,5.5]],"parts":[
 {"name":"car/duct","kind":"flow volume","volume":0.0021,
  "openings":[{"name":"nose.out","area":0.04,"perimeter":0.8,"hydraulic_diameter":0.2,"center":[0.1,0.2,0.3],
    "normal":[1,0,0],"free_area":0.03,"blocked_by":[{"part":"strut","gap":0.01,"share":0.25,"open_perimeter":0.2}]}],
  "paths":[{"from":"nose.in","to":"nose.out","length":0.5,"narrowest":{"distance":0.2,"area":0.031},
    "stations":[{"distance":0.25,"area":0.035,"perimeter":0.7,"hydraulic_diameter":0.2,"center":[0,0,0],
      "tangent":[0,1,0],"loops":2}],
    "pieces":[{"kind":"diffuser","from":0.1,"to":0.4,"inlet_area":0.031,"outlet_area":0.04,"shape":"conical",
      "angle":null,"reason":"the area grows"}]}],
  "cutouts":[{"name":"vent","area":0.02,"projected_area":0.019,"perimeter":0.6,"thickness":0.002,"center":[0,0,1],
    "normal":[0,0,1],"free_area":0.018,"blocked_by":[],
    "louvre":{"blades":5,"blade_angle":0.6,"gross_area":0.025,"throat_area":0.018}}],
  "core":{"face_area":0.2,"free_face_area":0.16,"depth":0.04,"center":[1,1,1],"normal":[1,0,0]}},
 {"name":"body","kind":"body","volume":null,"openings":[],"paths":[],"cutouts":[]}],
 "gaps":[{"duct":"duct","core":"radiator","rim_length":1.5,"gap_area":0.003,"face_coverage":0.9}],
 "warnings":[{"code":"mixed_units","text":"mm and in"}]})";

TEST(Measurement, keeps_every_number_of_the_document) {
  const auto read = read_measurement(full, "a.step");
  ASSERT_TRUE(read.ok()) << describe(read.issues().front());
  const Measurement& m = read.value();
  EXPECT_EQ(m.json, full);
  EXPECT_EQ(m.unit, "mm");
  EXPECT_EQ(m.bounding_box[1], (Point{3, 4, 5.5}));
  ASSERT_EQ(m.parts.size(), 2u);
  const Part& duct = m.parts[0];
  EXPECT_EQ(duct.kind, "flow volume");
  EXPECT_EQ(duct.volume, 0.0021);
  ASSERT_EQ(duct.openings.size(), 1u);
  EXPECT_EQ(duct.openings[0].name, "nose.out");
  EXPECT_EQ(duct.openings[0].area, 0.04);
  EXPECT_EQ(duct.openings[0].perimeter, 0.8);
  EXPECT_EQ(duct.openings[0].center, (Point{0.1, 0.2, 0.3}));
  EXPECT_EQ(duct.openings[0].normal, (Direction{1, 0, 0}));
  EXPECT_EQ(duct.openings[0].free_area, 0.03);
  ASSERT_EQ(duct.openings[0].blocked_by.size(), 1u);
  EXPECT_EQ(duct.openings[0].blocked_by[0].part, "strut");
  EXPECT_EQ(duct.openings[0].blocked_by[0].share, 0.25);
  EXPECT_EQ(m.parts[1].volume, std::nullopt);
  EXPECT_EQ(m.parts[1].core, std::nullopt);
  ASSERT_EQ(m.gaps.size(), 1u);
  EXPECT_EQ(m.gaps[0].face_coverage, 0.9);
  ASSERT_EQ(m.warnings.size(), 1u);
  EXPECT_EQ(m.warnings[0].code, "mixed_units");
}

TEST(Measurement, keeps_paths_cutouts_and_cores) {
  const auto read = read_measurement(full, "a.step");
  ASSERT_TRUE(read.ok());
  const Part& duct = read.value().parts[0];
  ASSERT_EQ(duct.paths.size(), 1u);
  EXPECT_EQ(duct.paths[0].length, 0.5);
  EXPECT_EQ(duct.paths[0].narrowest.area, 0.031);
  ASSERT_EQ(duct.paths[0].stations.size(), 1u);
  EXPECT_EQ(duct.paths[0].stations[0].loops, 2);
  EXPECT_EQ(duct.paths[0].stations[0].tangent, (Direction{0, 1, 0}));
  ASSERT_EQ(duct.paths[0].pieces.size(), 1u);
  const Piece& piece = duct.paths[0].pieces[0];
  EXPECT_EQ(piece.kind, "diffuser");
  EXPECT_EQ(piece.to, 0.4);
  EXPECT_EQ(piece.numbers, (std::map<std::string, double>{{"inlet_area", 0.031}, {"outlet_area", 0.04}}));
  EXPECT_EQ(piece.choices, (std::map<std::string, std::string>{{"shape", "conical"}}));
  EXPECT_EQ(piece.reason, "the area grows");
  ASSERT_EQ(duct.cutouts.size(), 1u);
  EXPECT_EQ(duct.cutouts[0].thickness, 0.002);
  ASSERT_TRUE(duct.cutouts[0].louvre.has_value());
  EXPECT_EQ(duct.cutouts[0].louvre->blades, 5);
  EXPECT_EQ(duct.cutouts[0].louvre->throat_area, 0.018);
  ASSERT_TRUE(duct.core.has_value());
  EXPECT_EQ(duct.core->depth, 0.04);
}

TEST(Measurement, a_missing_or_misplaced_value_is_named_by_its_pointer) {
  const auto spoilt = [](const std::string& pointer, const Json& value) {
    Json document = Json::parse(full);
    document[Json::json_pointer(pointer)] = value;
    const auto read = read_measurement(document.dump(), "a.step");
    if (read.ok()) return std::string("accepted");
    EXPECT_EQ(read.issues().front().code, "bad_measurement");
    EXPECT_EQ(read.issues().front().status, Status::geometry);
    EXPECT_EQ(read.issues().front().place.file, "a.step");
    return read.issues().front().place.pointer;
  };
  for (const std::string pointer :
       {"/unit", "/parts/0/name", "/parts/0/openings/0/area", "/parts/0/openings/0/center",
        "/parts/0/paths/0/narrowest/area", "/parts/0/paths/0/stations/0/loops",
        "/parts/0/paths/0/pieces/0/kind", "/parts/0/cutouts/0/louvre/blades", "/parts/0/core/depth",
        "/gaps/0/rim_length", "/warnings/0/text"}) {
    EXPECT_EQ(spoilt(pointer, nullptr), pointer);
    EXPECT_EQ(spoilt(pointer, Json::object()), pointer);
  }
  EXPECT_EQ(spoilt("/parts", "none"), "/parts");
  EXPECT_EQ(spoilt("/parts/0/openings/0/center", {1, 2}), "/parts/0/openings/0/center");
  EXPECT_EQ(spoilt("/parts/0/openings/0/center/1", "x"), "/parts/0/openings/0/center/1");
  EXPECT_EQ(spoilt("/parts/0/paths/0/stations/0/loops", 1e300), "/parts/0/paths/0/stations/0/loops");
  EXPECT_EQ(spoilt("/parts/0/paths/0/pieces/0/inlet_area", Json::array()),
            "/parts/0/paths/0/pieces/0/inlet_area");
  EXPECT_EQ(spoilt("/warnings/0/code", "mixed_un+its"), "/warnings/0/code");
  EXPECT_EQ(spoilt("/warnings/0/code", ""), "/warnings/0/code");
  EXPECT_EQ(spoilt("/warnings/0/text", ""), "/warnings/0/text");
  EXPECT_EQ(spoilt("/parts/0/cutouts", nullptr), "accepted");
}

TEST(Measurement, the_text_of_a_warning_is_fit_for_a_message) {
  Json document = Json::parse(full);
  document["warnings"][0]["text"] = "an\x1b[31m edge" + std::string(5000, '.');
  const auto read = read_measurement(document.dump(), "a.step");
  ASSERT_TRUE(read.ok());
  const std::string& text = read.value().warnings[0].text;
  EXPECT_EQ(text.substr(0, 12), "an [31m edge");
  EXPECT_LE(text.size(), 1000u + std::string_view("...").size());
}

TEST(Measurement, what_is_no_document_is_refused) {
  for (const char* text :
       {"", "[]", "{", "1e999", R"({"file":"a","unit":"mm","bounding_box":[[0,0,1e999],[0,0,0]]})"}) {
    const auto read = read_measurement(text, "a.step");
    ASSERT_FALSE(read.ok()) << text;
    EXPECT_EQ(read.issues().front().code, "bad_measurement");
  }
}

using MeasureFile = FakeWorker;

TEST_F(MeasureFile, joins_the_program_and_the_reader) {
  use("cat > /dev/null\nreply '{\"status\":0,\"issues\":[],\"measurement\":" + full + "}'");
  const auto read = measure_file(step, {});
  ASSERT_TRUE(read.ok()) << describe(read.issues().front());
  EXPECT_EQ(read.value().parts[0].openings[0].area, 0.04);
  EXPECT_EQ(read.value().json, full);
  EXPECT_FALSE(measure_file(step + ".missing", {}).ok());
}

TEST(Drawing, curves_go_to_their_openings_stations_and_blockers) {
  Measurement m = read_measurement(full, "a.step").value();
  take_drawing(m, R"({"parts":[{"edges":[[0,0,0,1000,0,-2500]],
    "openings":[{"outlines":[[0,0,0,1000000,0,0,0,1000000,0]],"covered":[[[1,2,3,4,5,6]]]}],
    "paths":[{"stations":[[[0,0,0,1,1,1]]],"narrowest":[[7,8,9,7,8,10]]}],
    "cutouts":[{"outlines":[[0,0,0,1,0,0]],"covered":[]}],"core":[[0,0,0,1,0,0,1,1,0]]},
    {"edges":[],"openings":[],"paths":[],"cutouts":[],"core":[]}]})");
  const Part& duct = m.parts[0];
  ASSERT_EQ(duct.edges.size(), 1u);
  EXPECT_EQ(duct.edges[0], (Curve{{0, 0, 0}, {0.001, 0, -0.0025}}));
  ASSERT_EQ(duct.openings[0].outlines.size(), 1u);
  EXPECT_EQ(duct.openings[0].outlines[0][1], (Point{1, 0, 0}));
  ASSERT_EQ(duct.openings[0].blocked_by[0].covered.size(), 1u);
  EXPECT_EQ(duct.paths[0].stations[0].outlines.size(), 1u);
  EXPECT_EQ(duct.paths[0].narrowest.outlines.size(), 1u);
  EXPECT_EQ(duct.cutouts[0].outlines.size(), 1u);
  EXPECT_EQ(duct.core->outlines.size(), 1u);
}

/// The reply is taken for hostile: what does not fit is left out, and nothing else happens.
TEST(Drawing, what_does_not_fit_is_left_out) {
  for (const char* odd :
       {"", "null", "[]", "{\"parts\":3}", "{\"parts\":[]}", "{\"parts\":[1,2]}", "{\"parts\":[{},{},{}]}",
        R"({"parts":[{"edges":[[1,2],[1,2,"3",4,5,6],[1.5,2,3,4,5,6],[1,2,3],3,null,[]],"openings":[{},{}],
            "paths":{"stations":[]},"cutouts":[[]],"core":7},{}]})"}) {
    Measurement m = read_measurement(full, "a.step").value();
    take_drawing(m, odd);
    EXPECT_TRUE(m.parts[0].edges.empty()) << odd;
    EXPECT_TRUE(m.parts[0].openings[0].outlines.empty()) << odd;
    EXPECT_TRUE(m.parts[0].core->outlines.empty()) << odd;
  }
}

}  // namespace
}  // namespace corefeed::worker
