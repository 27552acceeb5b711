// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

#include "corefeed/losses/curve.hpp"
#include "tests/fuzz/small_model.hpp"

/// Curves from tables: what is accepted rises in its abscissa, is finite, and never leaves the two points it
/// runs between. The first byte chooses the fan's curve or that of a tested loss.
namespace corefeed::fuzz {
namespace {

constexpr std::string_view fan =
    R"({"points": "curve.csv", "density": "1.2 kg/m3", "shaft_speed": "2800 rpm"})";

/// Read as far as the table: the model may be wrong for another reason.
Result<model::Model> read(const std::string& folder, bool of_fan) {
  if (of_fan) return model::parse_model(small_text({.fan_curve = fan}), "small.corefeed", folder);
  std::string text = small_text();
  const std::string_view screen = R"("vent": {)";
  text.insert(text.find(screen),
              R"("grille": {"kind": "tested_loss", "from": "mouth", "to": "bay", "area": "300 cm2",
    "curve": {"points": "curve.csv", "density": "1.2 kg/m3"}}, )");
  return model::parse_model(text, "small.corefeed", folder);
}

void require_curve(const losses::Curve& curve) {
  const std::vector<double>& x = curve.x();
  const std::vector<double>& y = curve.y();
  require(x.size() == y.size() && x.size() >= 2, "a curve has two points");
  for (std::size_t i = 0; i < x.size(); ++i) {
    require(std::isfinite(x[i]) && std::isfinite(y[i]), "points of a curve are finite");
    if (i == 0) continue;
    require(x[i] > x[i - 1], "points of a curve rise");
    const double low = std::min(y[i], y[i - 1]);
    const double high = std::max(y[i], y[i - 1]);
    const double size = std::max(std::abs(low), std::abs(high));
    const double rounding = 1e-12 * size;
    for (const double share : {0.0, 0.1, 0.5, 0.9, 1.0}) {
      const double between = std::clamp(x[i - 1] + share * (x[i] - x[i - 1]), x[i - 1], x[i]);
      const double value = curve.value(between);
      require(value >= low - rounding && value <= high + rounding, "a curve stays between its neighbors");
      require(!std::isnan(curve.slope(between)), "a curve has a slope");
    }
  }
  for (const losses::Curve::Span& span : {curve.rising(), curve.falling()})
    require(span.empty() || (span.from >= x.front() && span.to <= x.back()), "a span lies inside the curve");
}

}  // namespace

void run(std::string_view bytes) {
  static const ScratchFolder folder;
  const auto [of_fan, table] = choose(bytes, 2);
  folder.write("curve.csv", table);
  const Result<model::Model> model = read(folder.path(""), of_fan == 0);
  if (!model) return require_sound(model.issues(), std::string(table) + small_text());
  std::size_t curves = 0;
  for (const model::Element& element : model.value().elements) {
    for (const auto& curve : element.numbers.curves) {
      if (!curve) continue;
      ++curves;
      require_curve(*curve);
    }
  }
  require(curves > 0, "an accepted model has the curve");
}

}  // namespace corefeed::fuzz
