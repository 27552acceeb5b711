// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "corefeed/cooling/conductance_fit.hpp"
#include "corefeed/cooling/tube_side.hpp"
#include "corefeed/losses/core.hpp"
#include "corefeed/model/reader.hpp"

/// From a core's tested points to the coefficients its law works with.
namespace corefeed::model {
namespace {

namespace core = losses::core;
using fluids::Liquid;

/// Spread of a core that was tested, relative: the supplier's curve, or a rig of one's own with half of it;
/// common practice, no source.
struct TestSpread {
  double linear = 0.08;
  double quadratic = 0.06;
  double conductance = 0.08;
};

TestSpread spread_by(const Numbers& numbers, std::size_t by) {
  return numbers.value[by] == 0.0 ? TestSpread{} : TestSpread{0.04, 0.03, 0.04};
}

void set_fitted(Numbers& numbers, std::size_t key, double value, double sigma, const std::string& source) {
  const bool number = numbers.kind->keys[key].need == losses::Need::standard;
  numbers.value[key] = value;
  // A standard value such as an exponent is replaced without becoming a number of the model's.
  if (!number) numbers.given |= std::uint64_t{1} << key;
  numbers.fitted |= std::uint64_t{1} << key;
  numbers.bands[key] = {sigma, source};
}

void report(Reader& reader, const std::string& pointer, const std::string& name,
            const std::vector<Issue>& issues) {
  for (const Issue& issue : issues) {
    const std::string text = name + ": " + issue.text;
    if (issue.severity == Severity::warning) {
      reader.warn(pointer, issue.code, text);
    } else {
      reader.error(pointer, issue.code, text);
    }
  }
}

/// Face velocities of the loss test.
std::vector<cooling::LossPoint> loss_points(const Numbers& numbers) {
  const losses::Curve& curve = *numbers.curves[core::tested_points];
  const double area = numbers.value[core::face_area];
  const double by_mass = 1.0 / (area * numbers.value[core::tested_density]);
  const double to_velocity[] = {1.0, 1.0 / area, by_mass};
  std::vector<cooling::LossPoint> points;
  for (std::size_t i = 0; i < curve.x().size(); ++i) {
    // The origin belongs to the curve, not to the test.
    if (curve.x()[i] <= 0.0) continue;
    points.push_back({curve.x()[i] * to_velocity[curve.abscissa()], curve.y()[i]});
  }
  return points;
}

void fit_pressure(Reader& reader, Element& element) {
  Numbers& numbers = element.numbers;
  const std::string pointer = pointer_join(element.pointer, "tested");
  const auto fit = cooling::fit_loss(loss_points(numbers));
  if (!fit) return report(reader, pointer, element.name, fit.issues());
  report(reader, pointer, element.name, fit.value().notes);
  if (numbers.value[core::tested_with] != 0.0) {
    reader.warn(pointer, "tested_with_shroud",
                element.name + ": its test took in a shroud or grille; do not count those as elements too");
  }
  const std::string source = fmt::format(
      "fit to {} tested points: R2 {:.5f}, scatter {:.2f} %, loss with power {:.2f} of velocity",
      loss_points(numbers).size(), fit.value().r_squared, 100.0 * fit.value().scatter, fit.value().exponent);
  const TestSpread spread = spread_by(numbers, core::tested_by);
  const auto sigma = [](double value, double relative, double of_fit) {
    return std::hypot(value * relative, of_fit);
  };
  set_fitted(numbers, core::linear, fit.value().linear,
             sigma(fit.value().linear, spread.linear, fit.value().sigma_linear), source);
  set_fitted(numbers, core::quadratic, fit.value().quadratic,
             sigma(fit.value().quadratic, spread.quadratic, fit.value().sigma_quadratic), source);
}

/// The liquid of a heat test, as its fit needs it.
struct TestLiquid {
  Liquid own;     ///< the loop's
  Liquid tested;  ///< what the test ran on
  double temperature = 0;
  double exponent = 0.8;
  double air_share = 0.8;
};

std::optional<TestLiquid> test_liquid(Reader& reader, const Model& model, const Element& element) {
  const Numbers& numbers = element.numbers;
  const auto loop = std::find_if(model.loops.begin(), model.loops.end(),
                                 [&element](const Loop& one) { return one.name == element.loop; });
  TestLiquid liquid{.own = loop->fluid, .tested = loop->fluid};
  liquid.temperature = numbers.value[core::heat_liquid_temperature];
  const bool oil = loop->fluid.kind() == Liquid::Kind::oil;
  if (oil) {
    liquid.exponent = 0.35;
    liquid.air_share = 0.5;
  }
  if (numbers.values().has(core::heat_liquid_exponent))
    liquid.exponent = numbers.value[core::heat_liquid_exponent];
  if (numbers.values().has(core::heat_glycol_share)) {
    liquid.tested = fluids::water_glycol(numbers.value[core::heat_glycol_share]).value();
    if (liquid.own.has_transport()) return liquid;
    reader.error(pointer_join(element.pointer, "tested_heat/glycol_share"), "missing_key",
                 fmt::format("the liquid of the loop {} has no density, viscosity and conductivity, without "
                             "which a test on another liquid says nothing about it",
                             quoted(element.loop)));
    return std::nullopt;
  }
  return liquid;
}

std::vector<cooling::HeatPoint> heat_points(const Model& model, const Numbers& numbers,
                                            const losses::TestPoints& test, const TestLiquid& liquid) {
  const double area = numbers.value[core::face_area];
  const double air_factor = test.abscissa == 0 ? 1.0 : numbers.value[core::heat_density] * area;
  const double density = liquid.tested.density(liquid.temperature);
  const double liquid_factor = test.alternative.front() == 0 ? 1.0 : density;
  const fluids::Air air = fluids::humid_air(model.temperature, model.pressure, model.relative_humidity);
  std::vector<cooling::HeatPoint> points;
  for (std::size_t i = 0; i < test.columns.front().size(); ++i) {
    points.push_back({.air_flow = test.columns[0][i] * air_factor,
                      .liquid_flow = test.columns[1][i] * liquid_factor,
                      .air_heat_capacity = air.heat_capacity,
                      .liquid_heat_capacity = liquid.tested.heat_capacity(liquid.temperature),
                      .inlet_difference = test.columns[2][i],
                      .heat = test.columns[3][i]});
  }
  return points;
}

cooling::LiquidState<double> state_of(const Liquid& liquid, double temperature) {
  return {liquid.density(temperature), liquid.viscosity(temperature), liquid.viscosity(temperature),
          liquid.heat_capacity(temperature), liquid.conductivity(temperature)};
}

std::string words_of(const cooling::ConductanceFit& fit, std::size_t points) {
  if (fit.split_assumed) {
    return fmt::format("{} tested point{}, shared between the sides by common practice", points,
                       points == 1 ? "" : "s");
  }
  return fmt::format("fit to {} tested points: R2 {:.5f}, scatter {:.2f} %, air exponent {}", points,
                     fit.r_squared, 100.0 * fit.scatter, fit.air_exponent_fitted ? "fitted" : "assumed");
}

void take_conductances(Numbers& numbers, const cooling::ConductanceFit& fit, double exchange,
                       std::size_t points) {
  const std::string source = words_of(fit, points);
  set_fitted(numbers, core::air_value, fit.air_value, 0.0, source);
  set_fitted(numbers, core::air_flow, fit.air_flow, 0.0, source);
  set_fitted(numbers, core::air_exponent, fit.air_exponent, 0.0, source);
  set_fitted(numbers, core::liquid_value, fit.liquid_value * exchange, 0.0, source);
  set_fitted(numbers, core::liquid_flow, fit.liquid_flow, 0.0, source);
  set_fitted(numbers, core::liquid_exponent, fit.liquid_exponent, 0.0, source);
  // One error for the whole core: the test's, and what the fit leaves.
  const double test = spread_by(numbers, core::heat_by).conductance;
  const double sigma = fit.split_assumed ? cooling::one_point_sigma : std::hypot(test, fit.scatter);
  numbers.bands.try_emplace(core::heat_transfer, OwnBand{sigma, source});
}

void fit_heat(Reader& reader, const Model& model, Element& element) {
  Numbers& numbers = element.numbers;
  const std::string pointer = pointer_join(element.pointer, "tested_heat");
  const auto liquid = test_liquid(reader, model, element);
  if (!liquid) return;
  const losses::TestPoints& test = *numbers.tests.at(core::heat_points);
  if (test.alternative.front() == 1 && !liquid->tested.has_transport()) {
    return reader.error(pointer, "missing_key",
                        fmt::format("the liquid of the loop {} has no density, which liquid_volume_flow "
                                    "needs; give liquid_flow in kg/s",
                                    quoted(element.loop)));
  }
  const cooling::Layout layout{
      .arrangement = static_cast<cooling::Arrangement>(static_cast<int>(numbers.value[core::arrangement]))};
  std::vector<cooling::ConductancePoint> points;
  for (const cooling::HeatPoint& point : heat_points(model, numbers, test, *liquid)) {
    const auto conductance = cooling::conductance_of(point, layout);
    if (!conductance) {
      report(reader, fmt::format("{}/points/{}", pointer, points.size()), element.name, conductance.issues());
      return;
    }
    points.push_back({point.air_flow, point.liquid_flow, conductance.value()});
  }
  const auto fit =
      cooling::fit_conductance(points, {.liquid_exponent = liquid->exponent, .air_share = liquid->air_share});
  if (!fit) return report(reader, pointer, element.name, fit.issues());
  report(reader, pointer, element.name, fit.value().notes);
  double exchange = 1.0;
  if (numbers.values().has(core::heat_glycol_share)) {
    exchange = cooling::liquid_exchange_factor<double>(liquid->exponent,
                                                       state_of(liquid->tested, liquid->temperature),
                                                       state_of(liquid->own, liquid->temperature));
  }
  take_conductances(numbers, fit.value(), exchange, points.size());
}

}  // namespace

void fit_tests(Reader& reader, Model& model) {
  for (Element& element : model.elements) {
    if (element.numbers.kind->name != "core" || !element.whole.empty()) continue;
    if (element.numbers.values().has(core::tested_points)) fit_pressure(reader, element);
    if (element.numbers.values().has(core::heat_points)) fit_heat(reader, model, element);
  }
}

}  // namespace corefeed::model
