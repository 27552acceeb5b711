// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "corefeed/reports/json.hpp"
#include "corefeed/studies/study.hpp"
#include "tests/support/golden.hpp"

// A small car whose one inlet feeds two cores through a junction, with a screen in its mouth, a tested filter
// behind the second core and a fan with points behind both: everything solved together.
namespace corefeed::studies {
namespace {

using Json = nlohmann::ordered_json;

Json curve_points(const char* across, const char* up, const char* unit,
                  const std::vector<std::pair<double, double>>& points) {
  Json list = Json::array();
  for (const auto& [x, y] : points) {
    list.push_back({{across, std::to_string(x) + " " + unit}, {up, std::to_string(y) + " Pa"}});
  }
  return list;
}

Json car() {
  Json document = Json::parse(R"({
    "corefeed": 1,
    "ambient": {"temperature": "20 degC", "pressure": "100 kPa"},
    "air": {
      "elements": {
        "mouth": {"kind": "inlet", "to": "lip", "area": "400 cm2", "cp": 0.8, "recovery": 0.95},
        "guard": {"kind": "screen", "from": "lip", "to": "front", "area": "400 cm2", "open_fraction": 0.7,
                  "wire_diameter": "1 mm"},
        "tee": {"kind": "junction", "ports": {"common": "front", "straight": "left", "branch": "right"},
                "areas": {"common": "400 cm2", "straight": "400 cm2", "branch": "150 cm2"},
                "angle": "60 deg"},
        "widening": {"kind": "step", "from": "left", "to": "face", "inlet_area": "400 cm2",
                     "outlet_area": "1500 cm2"},
        "radiator": {"kind": "core", "from": "face", "to": "bay", "face_area": "1500 cm2",
          "air_loss": {"linear": "24 Pa s/m", "quadratic": "6 Pa s2/m2"},
          "air_conductance": {"value": "3600 W/K", "flow": "1.2 kg/s"},
          "liquid_conductance": {"value": "9000 W/K", "flow": "2 kg/s"}, "loop": "coolant"},
        "oil_widening": {"kind": "step", "from": "right", "to": "oil_face", "inlet_area": "150 cm2",
                         "outlet_area": "400 cm2"},
        "oil_cooler": {"kind": "core", "from": "oil_face", "to": "box", "face_area": "400 cm2",
          "air_loss": {"linear": "24 Pa s/m", "quadratic": "6 Pa s2/m2"},
          "air_conductance": {"value": "800 W/K", "flow": "0.3 kg/s"},
          "liquid_conductance": {"value": "1500 W/K", "flow": "0.5 kg/s"}, "loop": "oil"},
        "filter": {"kind": "tested_loss", "from": "box", "to": "bay", "curve": {}},
        "fan": {"kind": "fan", "from": "bay", "to": "rear", "area": "700 cm2", "curve": {}},
        "outlet": {"kind": "vent", "from": "rear", "area": "700 cm2", "cp": -0.3,
                   "discharge_coefficient": 0.62}
      },
      "nodes": {"bay": {"kind": "plenum"}, "rear": {"kind": "plenum"}, "box": {"kind": "plenum"}}
    },
    "loops": {
      "coolant": {"fluid": {"kind": "water"}, "flow": "2 kg/s", "heat_load": "30 kW"},
      "oil": {"fluid": {"kind": "water"}, "flow": "0.5 kg/s", "heat_load": "5 kW"}
    },
    "points": [{"name": "fast", "speed": "144 km/h"}, {"name": "idle", "speed": "0 km/h"}],
    "requirements": [{"name": "oil air", "quantity": "tee/branch.flow", "at_least": "0.05 kg/s"}]
  })");
  auto& elements = document["air"]["elements"];
  elements["filter"]["curve"]["points"] =
      curve_points("volume_flow", "pressure_loss", "m3/s", {{0.05, 9}, {0.15, 70}, {0.4, 480}, {0.8, 1900}});
  elements["fan"]["curve"]["points"] = curve_points(
      "volume_flow", "pressure_rise", "m3/s", {{0, 400}, {0.5, 330}, {1.0, 180}, {1.4, 0}, {2.2, -600}});
  return document;
}

model::Model model_of(const Json& document) { return corefeed::testing::read_text(document.dump()); }

PointResult solved(const Json& document, std::size_t point = 0) {
  const model::Model model = model_of(document);
  PointResult result = solve_point(model, model.points[point], {});
  EXPECT_TRUE(result.solution.converged) << result.solution.explanation;
  return result;
}

double number(const PointResult& result, const std::string& quantity) {
  const auto value = result.solution.value(quantity);
  EXPECT_TRUE(value.has_value()) << quantity;
  return value.value_or(std::nan(""));
}

const std::vector<std::string> quantities{"mouth.flow",          "tee.flow",        "tee/straight.flow",
                                          "tee/branch.flow",     "radiator.flow",   "oil_cooler.flow",
                                          "filter.volume_flow",  "fan.flow",        "fan.power",
                                          "guard.wire_reynolds", "outlet.flow",     "coolant.temperature",
                                          "oil.temperature",     "car.cooling_drag"};

// Residuals are held to 1e-10 of the flow scale.
TEST(NewKinds, TheJunctionKeepsItsAir) {
  for (const std::size_t point : {std::size_t{0}, std::size_t{1}}) {
    const PointResult result = solved(car(), point);
    const double whole = number(result, "mouth.flow");
    const double straight = number(result, "tee/straight.flow");
    const double branch = number(result, "tee/branch.flow");
    EXPECT_GT(straight, 0.0);
    EXPECT_GT(branch, 0.0);
    EXPECT_NEAR(straight + branch, whole, 1e-8);
    EXPECT_DOUBLE_EQ(number(result, "tee.flow"), straight + branch);
    EXPECT_NEAR(number(result, "radiator.flow"), straight, 1e-8);
    EXPECT_NEAR(number(result, "oil_cooler.flow"), branch, 1e-8);
    EXPECT_NEAR(number(result, "outlet.flow"), whole, 1e-8);
  }
}

// Every leg's loss is the difference of its nodes' total pressures, to the solver's 1e-10 of some kPa.
TEST(NewKinds, LegsLoseWhatTheirNodesDifferBy) {
  const PointResult result = solved(car());
  const auto& net = result.built.problem.network;
  for (std::size_t e = 0; e < net.elements.size(); ++e) {
    if (net.elements[e].kind->name != "junction") continue;
    const auto pressure = [&result](int node) {
      return result.solution.nodes[static_cast<std::size_t>(node)].total_pressure;
    };
    EXPECT_NEAR(result.solution.elements[e].pressure_loss,
                pressure(net.elements[e].from) - pressure(net.elements[e].to), 1e-5)
        << net.elements[e].name;
  }
}

// The tested parts stand where their own curves say: filter and fan by hand from flow and density.
TEST(NewKinds, TestedPartsStandOnTheirCurves) {
  const PointResult result = solved(car());
  const double flow = number(result, "filter.volume_flow");
  ASSERT_GT(flow, 0.05);
  ASSERT_LT(flow, 0.8);
  // The points follow 3000 Q^2 within 20 %, the density in the car the test's 1.2 within 15 %.
  EXPECT_NEAR(number(result, "filter.pressure_loss") / (3000.0 * flow * flow), 1.0, 0.35);
  const double share = number(result, "fan.share_of_tested_flow");
  EXPECT_GT(share, 0.0);
  EXPECT_LT(share, 1.0);
}

TEST(NewKinds, WarnsBeyondWhatWasTested) {
  const auto out_of_range = [](const PointResult& result, const char* element) {
    return std::any_of(result.warnings.begin(), result.warnings.end(), [element](const Issue& issue) {
      return issue.code == "out_of_range" && issue.place.pointer == element &&
             issue.text.find("share_of_tested_flow") != std::string::npos;
    });
  };
  const PointResult inside = solved(car());
  EXPECT_FALSE(out_of_range(inside, "filter"));
  EXPECT_FALSE(out_of_range(inside, "fan"));
  Json small = car();
  small["air"]["elements"]["filter"]["curve"]["points"] =
      curve_points("volume_flow", "pressure_loss", "m3/s", {{0.02, 1.4}, {0.05, 9}});
  const PointResult beyond = solved(small);
  EXPECT_TRUE(out_of_range(beyond, "filter"));
  EXPECT_FALSE(out_of_range(beyond, "fan"));
  EXPECT_GT(number(beyond, "filter.share_of_tested_flow"), 1.0);
}

TEST(NewKinds, AStallingFanIsNamedWithTheModel) {
  Json document = car();
  document["air"]["elements"]["fan"]["curve"]["points"] = curve_points(
      "volume_flow", "pressure_rise", "m3/s", {{0, 300}, {0.3, 280}, {0.6, 320}, {1.4, 0}, {2.2, -600}});
  const Study study = run_study(model_of(document)).value();
  EXPECT_TRUE(std::any_of(study.warnings.begin(), study.warnings.end(), [](const Issue& issue) {
    return issue.code == "mended" && issue.place.pointer == "/air/elements/fan" &&
           issue.text.find("rises between 1080 m3/h and 2160 m3/h") != std::string::npos;
  }));
}

// Elements written backwards: the same car. Sums in another order differ in their last bits.
TEST(NewKinds, TheOrderOfElementsDoesNotMatter) {
  const Json forward = car();
  Json backward = forward;
  auto& elements = backward["air"]["elements"];
  elements = Json::object();
  for (auto one = forward["air"]["elements"].end(); one != forward["air"]["elements"].begin();) {
    --one;
    elements[one.key()] = one.value();
  }
  for (const std::size_t point : {std::size_t{0}, std::size_t{1}}) {
    const PointResult one = solved(forward, point);
    const PointResult other = solved(backward, point);
    for (const std::string& quantity : quantities) {
      const double value = number(one, quantity);
      EXPECT_NEAR(number(other, quantity), value, 1e-8 * std::abs(value) + 1e-8) << quantity;
    }
  }
}

TEST(NewKinds, LegsStandInTheJsonAndAsQuantities) {
  const model::Model model = model_of(car());
  const Study study = run_study(model).value();
  ASSERT_EQ(study.requirements.size(), 1u);
  EXPECT_EQ(study.requirements[0].judgments[0].value, number(study.points[0], "tee/branch.flow"));
  const auto document = nlohmann::json::parse(reports::study_json(model, study, {}));
  const auto& tee = document["points"][0]["elements"]["tee"];
  EXPECT_EQ(tee["kind"], "junction");
  EXPECT_EQ(tee["flow"].get<double>(), number(study.points[0], "tee.flow"));
  ASSERT_EQ(tee["legs"].size(), 2u);
  const char* const names[] = {"tee/straight", "tee/branch"};
  for (std::size_t leg = 0; leg < 2; ++leg) {
    EXPECT_EQ(tee["legs"][leg]["name"], names[leg]);
    for (const char* what : {"flow", "pressure_loss", "velocity", "loss_coefficient"}) {
      EXPECT_EQ(tee["legs"][leg][what].get<double>(),
                number(study.points[0], std::string(names[leg]) + "." + what))
          << names[leg] << " " << what;
    }
  }
  EXPECT_FALSE(document["points"][0]["elements"].contains("tee/branch"));
}

// A model that is written and read again gives the same numbers to the bit, curves included.
TEST(NewKinds, WritingTheModelKeepsItsCurvesAndPorts) {
  const model::Model model = model_of(car());
  const model::Model again = corefeed::testing::read_text(model::write_model(model));
  const PointResult one = solve_point(model, model.points[0], {});
  const PointResult other = solve_point(again, again.points[0], {});
  for (const std::string& quantity : quantities)
    EXPECT_EQ(number(one, quantity), number(other, quantity)) << quantity;
}

// Exact derivatives through junction, curves and heat against re-solved central differences: steps of 1e-5
// leave 1e-8 of truncation, the solver's 1e-10 over the step 1e-5.
TEST(NewKinds, SensitivitiesGoThroughJunctionAndCurves) {
  const model::Model model = model_of(car());
  const PointResult at = solve_point(model, model.points[0], {});
  const auto moved = [](const char* element, const char* key, const char* inner, const std::string& value) {
    Json document = car();
    auto& holder = document["air"]["elements"][element];
    (inner[0] == '\0' ? holder[key] : holder[key][inner]) = value;
    return number(solved(document), "oil_cooler.flow");
  };
  struct Row {
    const char *element, *key, *inner, *above, *below;
    double step;
    const char* key_name;
  };
  const auto influences = uncertainty_of(model, at, "oil_cooler.flow").influences;
  for (const Row& row : {Row{"tee", "areas", "branch", "150.1 cm2", "149.9 cm2", 1e-5, ".areas.branch"},
                         Row{"guard", "area", "", "400.1 cm2", "399.9 cm2", 1e-5, ".area"}}) {
    const double difference = (moved(row.element, row.key, row.inner, row.above) -
                               moved(row.element, row.key, row.inner, row.below)) /
                              (2.0 * row.step);
    // A junction's number acts in both of its legs.
    double derivative = 0.0;
    for (const Influence& one : influences) {
      const std::string owner(row.element);
      if (one.parameter.starts_with(owner) && one.parameter.ends_with(row.key_name))
        derivative += one.derivative;
    }
    EXPECT_NE(difference, 0.0);
    EXPECT_NEAR(derivative, difference, 1e-4 * std::abs(difference)) << row.key_name;
  }
}

}  // namespace
}  // namespace corefeed::studies
