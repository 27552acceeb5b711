// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "corefeed/model/csv_table.hpp"
#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

using losses::Column;
using losses::CurveForm;

/// The points of a curve as they are gathered, with a word for where each stands.
struct Points {
  std::vector<std::size_t> chosen;          ///< by slot: which of its columns the points name
  std::vector<std::vector<double>> values;  ///< by slot
  std::vector<std::string> where;
};

/// What each point is made of, of each any one: the abscissa, what stands beside it, the ordinate.
std::vector<std::vector<Column>> slots_of(const CurveForm& form) {
  std::vector<std::vector<Column>> slots{form.abscissas};
  slots.insert(slots.end(), form.beside.begin(), form.beside.end());
  slots.push_back({form.ordinate});
  return slots;
}

std::string names_of(const std::vector<Column>& slot) {
  std::string names;
  for (const Column& column : slot) {
    names += names.empty() ? "" : " or ";
    names += quoted(column.name);
  }
  return names;
}

/// Which column of each slot the first point names; the first of the slot where it names none.
std::optional<std::vector<std::size_t>> choose(Reader& reader, const std::vector<std::vector<Column>>& slots,
                                               const Spot& point) {
  std::vector<std::size_t> chosen;
  for (const std::vector<Column>& slot : slots) {
    const auto stands = [&point](const Column& one) { return bool(Reader::member(point, one.name)); };
    const auto found = std::find_if(slot.begin(), slot.end(), stands);
    if (found == slot.end() && slot.size() > 1) {
      reader.error(point.pointer, "missing_key",
                   fmt::format("a point of the curve needs {} beside {}", names_of(slot),
                               quoted(slots.back().front().name)));
      return std::nullopt;
    }
    chosen.push_back(found == slot.end() ? 0 : static_cast<std::size_t>(found - slot.begin()));
  }
  return chosen;
}

std::optional<Points> read_list(Reader& reader, const Spot& list, const CurveForm& form) {
  const std::vector<std::vector<Column>> slots = slots_of(form);
  Points points;
  points.values.resize(slots.size());
  const std::size_t before = reader.issues.size();
  for (std::size_t i = 0; i < list.value->items.size(); ++i) {
    const Spot point{&list.value->items[i], pointer_join(list.pointer, fmt::format("{}", i))};
    if (!reader.want(point, Value::Kind::object)) continue;
    if (points.chosen.empty()) {
      const auto chosen = choose(reader, slots, point);
      if (!chosen) return std::nullopt;
      points.chosen = *chosen;
    }
    std::vector<const Column*> columns;
    std::vector<std::string_view> names;
    for (std::size_t slot = 0; slot < slots.size(); ++slot) {
      columns.push_back(&slots[slot][points.chosen[slot]]);
      names.push_back(columns.back()->name);
    }
    reader.refuse_unknown(point, names);
    for (std::size_t slot = 0; slot < slots.size(); ++slot) {
      const Spot number = reader.required(point, columns[slot]->name, columns[slot]->meaning);
      if (!number) continue;
      const auto value = reader.number(number, columns[slot]->quantity);
      if (value) points.values[slot].push_back(*value);
    }
    points.where.push_back(fmt::format("point {}", i + 1));
  }
  if (reader.issues.size() > before) return std::nullopt;
  // An empty list is complained of with the other short ones.
  if (points.chosen.empty()) points.chosen.assign(slots.size(), 0);
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
  bool sound = true;
  for (const std::vector<Column>& slot : slots_of(form)) {
    std::size_t chosen = 0;
    while (chosen < slot.size() && table.value().find(slot[chosen].name) == Table::npos) ++chosen;
    if (chosen == slot.size()) chosen = 0;
    points.chosen.push_back(chosen);
    points.values.emplace_back();
    const auto column = table.value().column(slot[chosen].name);
    if (!column) {
      take(reader, column.issues());
      sound = false;
      continue;
    }
    const auto factor = column_factor(table.value(), column.value(), slot[chosen].quantity);
    const auto numbers = table.value().numbers(column.value());
    if (!factor) take(reader, factor.issues());
    if (!numbers) take(reader, numbers.issues());
    sound = sound && factor && numbers;
    if (!sound) continue;
    for (const double number : numbers.value()) points.values.back().push_back(number * factor.value());
  }
  if (!sound) return std::nullopt;
  for (std::size_t row = 0; row < table.value().rows(); ++row) {
    points.where.push_back(fmt::format("line {} of {}", table.value().line(row), name.value->text));
  }
  return points;
}

/// What is wrong with the points' order, or "".
std::string order_fault(const CurveForm& form, const Points& points) {
  const Column& across = form.abscissas[points.chosen.front()];
  const std::vector<double>& x = points.values.front();
  const std::vector<double>& y = points.values.back();
  const auto at = [&](std::size_t i) {
    return fmt::format("{} at {}", units::show(x[i], across.quantity), points.where[i]);
  };
  for (std::size_t i = 0; i < x.size(); ++i) {
    if (form.from_origin && x[i] < 0.0) {
      return fmt::format("{} is negative; the curve begins at zero", at(i));
    }
    if (form.from_origin && x[i] == 0.0 && y[i] != 0.0) {
      return fmt::format("at zero {} the {} is zero, found {} at {}", across.name, form.ordinate.name,
                         units::show(y[i], form.ordinate.quantity), points.where[i]);
    }
    if (i == 0) continue;
    if (x[i] <= x[i - 1]) {
      return fmt::format("{} follows {}; the points have to stand in rising order of {}, each once", at(i),
                         at(i - 1), across.name);
    }
    if (form.rising && y[i] <= y[i - 1]) {
      return fmt::format("the {} falls from {} to {} at {}; a loss rises with the flow", form.ordinate.name,
                         units::show(y[i - 1], form.ordinate.quantity),
                         units::show(y[i], form.ordinate.quantity), points.where[i]);
    }
  }
  if (form.rising && !y.empty() && (y.front() < 0.0 || y.back() <= 0.0)) {
    return fmt::format("the {} is {} at {}; a loss is positive", form.ordinate.name,
                       units::show(y.front(), form.ordinate.quantity), points.where.front());
  }
  return "";
}

std::optional<Points> read_points(Reader& reader, const Spot& spot, const CurveForm& form) {
  const bool listed = spot.value->kind == Value::Kind::array;
  if (!listed && spot.value->kind != Value::Kind::string) {
    std::vector<std::string> columns;
    for (const std::vector<Column>& slot : slots_of(form))
      columns.push_back(quoted(header_of(slot.front().name, slot.front().quantity)));
    const std::string last = columns.back();
    columns.pop_back();
    reader.error(
        spot.pointer, "wrong_type",
        fmt::format("found {}, expected a list of points or the name of a CSV file with the columns {} and "
                    "{}",
                    kind_name(spot.value->kind), fmt::join(columns, ", "), last));
    return std::nullopt;
  }
  std::optional<Points> points = listed ? read_list(reader, spot, form) : read_table(reader, spot, form);
  if (!points) return std::nullopt;
  std::string fault = form.beside.empty() ? order_fault(form, *points) : "";
  if (fault.empty() && points->where.size() < form.least_points) {
    fault = fmt::format("{} points are too few for a curve; give at least {}", points->where.size(),
                        form.least_points);
  }
  if (fault.empty()) return points;
  reader.error(spot.pointer, "bad_curve", fault);
  return std::nullopt;
}

}  // namespace

std::shared_ptr<const losses::Curve> read_curve(Reader& reader, const Spot& spot, const losses::Key& key) {
  std::optional<Points> points = read_points(reader, spot, *key.curve);
  if (!points) return nullptr;
  return std::make_shared<const losses::Curve>(std::move(points->values.front()),
                                               std::move(points->values.back()), points->chosen.front(),
                                               key.curve->from_origin);
}

std::shared_ptr<const losses::TestPoints> read_test(Reader& reader, const Spot& spot,
                                                    const losses::Key& key) {
  std::optional<Points> points = read_points(reader, spot, *key.curve);
  if (!points) return nullptr;
  auto test = std::make_shared<losses::TestPoints>();
  test->abscissa = points->chosen.front();
  test->alternative.assign(points->chosen.begin() + 1, points->chosen.end() - 1);
  test->columns = std::move(points->values);
  return test;
}

}  // namespace corefeed::model
