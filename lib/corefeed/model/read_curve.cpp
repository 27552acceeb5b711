// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>

#include "corefeed/model/csv_table.hpp"
#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

using losses::Column;
using losses::CurveForm;

/// The points of a curve as they are gathered, with a word for where each stands.
struct Points {
  std::size_t abscissa = 0;
  std::vector<double> x;
  std::vector<double> y;
  std::vector<std::string> where;
};

std::string abscissa_names(const CurveForm& form) {
  std::string names;
  for (const Column& column : form.abscissas) {
    names += names.empty() ? "" : " or ";
    names += quoted(column.name);
  }
  return names;
}

/// Which abscissa the first point names.
std::optional<std::size_t> chosen_abscissa(const CurveForm& form, const Spot& point) {
  for (std::size_t i = 0; i < form.abscissas.size(); ++i) {
    if (Reader::member(point, form.abscissas[i].name)) return i;
  }
  return std::nullopt;
}

std::optional<Points> read_list(Reader& reader, const Spot& list, const CurveForm& form) {
  Points points;
  bool chosen = false;
  const std::size_t before = reader.issues.size();
  for (std::size_t i = 0; i < list.value->items.size(); ++i) {
    const Spot point{&list.value->items[i], pointer_join(list.pointer, fmt::format("{}", i))};
    if (!reader.want(point, Value::Kind::object)) continue;
    if (!chosen) {
      const auto abscissa = chosen_abscissa(form, point);
      if (!abscissa) {
        reader.error(point.pointer, "missing_key",
                     fmt::format("a point of the curve needs {} beside {}", abscissa_names(form),
                                 quoted(form.ordinate.name)));
        return std::nullopt;
      }
      points.abscissa = *abscissa;
      chosen = true;
    }
    const Column& across = form.abscissas[points.abscissa];
    reader.refuse_unknown(point, {across.name, form.ordinate.name});
    const Spot x = reader.required(point, across.name, across.meaning);
    const Spot y = reader.required(point, form.ordinate.name, form.ordinate.meaning);
    if (!x || !y) continue;
    const auto x_value = reader.number(x, across.quantity);
    const auto y_value = reader.number(y, form.ordinate.quantity);
    if (!x_value || !y_value) continue;
    points.x.push_back(*x_value);
    points.y.push_back(*y_value);
    points.where.push_back(fmt::format("point {}", i + 1));
  }
  if (reader.issues.size() > before) return std::nullopt;
  return points;
}

void take(Reader& reader, const std::vector<Issue>& issues) {
  reader.issues.insert(reader.issues.end(), issues.begin(), issues.end());
}

std::optional<Points> read_table(Reader& reader, const Spot& name, const CurveForm& form) {
  const auto path = reader.file(name);
  if (!path) return std::nullopt;
  const auto table = read_csv(*path);
  if (!table) {
    take(reader, table.issues());
    return std::nullopt;
  }
  Points points;
  std::size_t across = Table::npos;
  for (std::size_t i = 0; i < form.abscissas.size() && across == Table::npos; ++i) {
    across = table.value().find(form.abscissas[i].name);
    points.abscissa = i;
  }
  const auto up = table.value().column(form.ordinate.name);
  if (across == Table::npos) take(reader, table.value().column(form.abscissas.front().name).issues());
  if (!up) take(reader, up.issues());
  if (across == Table::npos || !up) return std::nullopt;
  const auto x_factor = column_factor(table.value(), across, form.abscissas[points.abscissa].quantity);
  const auto y_factor = column_factor(table.value(), up.value(), form.ordinate.quantity);
  const auto x = table.value().numbers(across);
  const auto y = table.value().numbers(up.value());
  if (!x_factor) take(reader, x_factor.issues());
  if (!y_factor) take(reader, y_factor.issues());
  if (!x) take(reader, x.issues());
  if (!y) take(reader, y.issues());
  if (!x_factor || !y_factor || !x || !y) return std::nullopt;
  for (std::size_t row = 0; row < table.value().rows(); ++row) {
    points.x.push_back(x.value()[row] * x_factor.value());
    points.y.push_back(y.value()[row] * y_factor.value());
    points.where.push_back(fmt::format("line {} of {}", table.value().line(row), name.value->text));
  }
  return points;
}

/// What is wrong with the points' order, or "".
std::string order_fault(const CurveForm& form, const Points& points) {
  const Column& across = form.abscissas[points.abscissa];
  const auto at = [&](std::size_t i) {
    return fmt::format("{} at {}", units::show(points.x[i], across.quantity), points.where[i]);
  };
  for (std::size_t i = 0; i < points.x.size(); ++i) {
    if (form.from_origin && points.x[i] < 0.0) {
      return fmt::format("{} is negative; the curve begins at zero", at(i));
    }
    if (form.from_origin && points.x[i] == 0.0 && points.y[i] != 0.0) {
      return fmt::format("at zero {} the {} is zero, found {} at {}", across.name, form.ordinate.name,
                         units::show(points.y[i], form.ordinate.quantity), points.where[i]);
    }
    if (i == 0) continue;
    if (points.x[i] <= points.x[i - 1]) {
      return fmt::format("{} follows {}; the points have to stand in rising order of {}, each once", at(i),
                         at(i - 1), across.name);
    }
    if (form.rising && points.y[i] <= points.y[i - 1]) {
      return fmt::format("the {} falls from {} to {} at {}; a loss rises with the flow", form.ordinate.name,
                         units::show(points.y[i - 1], form.ordinate.quantity),
                         units::show(points.y[i], form.ordinate.quantity), points.where[i]);
    }
  }
  if (form.rising && !points.y.empty() && (points.y.front() < 0.0 || points.y.back() <= 0.0)) {
    return fmt::format("the {} is {} at {}; a loss is positive", form.ordinate.name,
                       units::show(points.y.front(), form.ordinate.quantity), points.where.front());
  }
  return "";
}

}  // namespace

std::shared_ptr<const losses::Curve> read_curve(Reader& reader, const Spot& spot, const losses::Key& key) {
  const CurveForm& form = *key.curve;
  const bool listed = spot.value->kind == Value::Kind::array;
  if (!listed && spot.value->kind != Value::Kind::string) {
    reader.error(
        spot.pointer, "wrong_type",
        fmt::format("found {}, expected a list of points or the name of a CSV file with the columns {} "
                    "and {}",
                    kind_name(spot.value->kind),
                    quoted(header_of(form.abscissas.front().name, form.abscissas.front().quantity)),
                    quoted(header_of(form.ordinate.name, form.ordinate.quantity))));
    return nullptr;
  }
  std::optional<Points> points = listed ? read_list(reader, spot, form) : read_table(reader, spot, form);
  if (!points) return nullptr;
  std::string fault = order_fault(form, *points);
  if (fault.empty() && points->x.size() < form.least_points) {
    fault = fmt::format("{} points are too few for a curve; give at least {}", points->x.size(),
                        form.least_points);
  }
  if (!fault.empty()) {
    reader.error(spot.pointer, "bad_curve", fault);
    return nullptr;
  }
  return std::make_shared<const losses::Curve>(std::move(points->x), std::move(points->y), points->abscissa,
                                               form.from_origin);
}

}  // namespace corefeed::model
