// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <functional>
#include <limits>

#include "corefeed/cooling/prepared.hpp"
#include "corefeed/model/build.hpp"
#include "corefeed/model/parameter.hpp"
#include "corefeed/studies/study.hpp"

/// `python_loops MODEL`: a thousand solutions on a changed vent area, as loops.py does it from Python: with a
/// prepared point, and by whole studies of all points. Prints seconds of both and the sum of what was found.
namespace {

using namespace corefeed;

constexpr int count = 1000;
constexpr int rounds = 5;  // of which the best is kept: others use the machine too
double area(int i) { return 0.05 + 1e-5 * i; }

void time_it(const char* name, const std::function<double()>& loop) {
  using Clock = std::chrono::steady_clock;
  double sum = 0;
  double best = std::numeric_limits<double>::infinity();
  for (int round = 0; round < rounds; ++round) {
    const auto begin = Clock::now();
    sum = loop();
    best = std::min(best, std::chrono::duration<double>(Clock::now() - begin).count());
  }
  fmt::print("{} {} {:.17g}\n", name, best, sum);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  Result<model::Model> read = model::read_model(argv[1]);
  if (!read) return 3;
  model::Model& car = read.value();

  cooling::Prepared prepared(model::build(car, car.points.front()).problem);
  const auto input = prepared.input("fender_vent.area");
  const auto output = prepared.output("radiator.flow");
  if (!input || !output || !prepared.solve().converged) return 4;
  time_it("prepared", [&] {
    double sum = 0;
    for (int i = 0; i < count; ++i) {
      prepared.set(*input, area(i));
      if (prepared.solve().converged) sum += prepared.value(*output);
    }
    return sum;
  });

  const auto parameter = model::find_parameter(car, "fender_vent.area");
  time_it("study", [&] {
    double sum = 0;
    for (int i = 0; i < count; ++i) {
      model::set_parameter(car, parameter.value(), area(i));
      model::write_parameter(car, parameter.value());
      const auto study = studies::run_study(car);
      if (study) sum += study.value().points.front().solution.value("radiator.flow").value_or(0);
    }
    return sum;
  });
  return 0;
}
