// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <set>

#include "corefeed/model/build.hpp"
#include "tests/fuzz/small_model.hpp"

/// Tables of operating points: what is accepted has names, numbers within what a car does, and can be built.
namespace corefeed::fuzz {

void run(std::string_view bytes) {
  static const ScratchFolder folder;
  folder.write("points.csv", bytes);
  const Result<model::Model> read = model::parse_model(small_text({.points = R"({"table": "points.csv"})"}),
                                                       "small.corefeed", folder.path(""));
  if (!read) return require_sound(read.issues(), std::string(bytes) + small_text());
  const model::Model& model = read.value();
  require(!model.points.empty(), "a model has points");
  std::set<std::string> names;
  for (const model::Point& point : model.points) {
    require(!point.name.empty() && names.insert(point.name).second, "every point has a name of its own");
    require(point.speed >= 0.0 && point.speed <= 120.0, "a speed is within its bounds");
    require(std::abs(point.yaw) <= 1.6, "a yaw is within its bounds");
    for (const auto& [loop, load] : point.heat_load)
      require(loop == "coolant" && load >= 0.0 && std::isfinite(load),
              "a heat load is one of the model's loops");
    for (const auto& [opening, cp] : point.cp) require(cp >= -6.0 && cp <= 1.2, "a cp is within its bounds");
    for (const auto& [fan, state] : point.fans) require(fan == "fan", "a fan is one of the model's");
  }
  const model::Built built = model::build(model, model.points.back());
  require(network::check_topology(built.problem.network).empty(), "a point can be built");
}

}  // namespace corefeed::fuzz
