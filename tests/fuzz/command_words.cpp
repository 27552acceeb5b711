// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cctype>
#include <cmath>
#include <string>

#include "corefeed/model/parameter.hpp"
#include "corefeed/studies/rules.hpp"
#include "corefeed/studies/size.hpp"
#include "corefeed/studies/sweep.hpp"
#include "tests/fuzz/small_model.hpp"

/// What the command line says about numbers of a model: names of parameters (--vary), axes (--over) as words
/// or as a table, and targets (--until). What is accepted is finite, within the bounds of what it names, and
/// what was asked for. The first byte chooses.
namespace corefeed::fuzz {
namespace {

const model::Model& small() {
  static const Result<model::Model> model = model::parse_model(small_text(), "small.corefeed", ".");
  require(model.ok(), "the small model is sound");
  return model.value();
}

void require_usage(const std::vector<Issue>& issues) {
  require(!issues.empty(), "a refusal has a reason");
  require_fit(issues);
  for (const Issue& issue : issues) require(issue.status == Status::usage, "the command line is at fault");
}

void require_axis(const studies::SweepAxis& axis) {
  require(!axis.names.empty() && !axis.values.empty(), "an axis has a name and a value");
  require(axis.values.size() == axis.rows() * axis.names.size(), "every row of an axis is full");
  for (std::size_t i = 0; i < axis.values.size(); ++i) {
    const Result<model::Parameter> parameter =
        model::find_parameter(small(), axis.names[i % axis.names.size()]);
    require(parameter.ok(), "an axis moves a parameter");
    require(std::isfinite(axis.values[i]), "values of an axis are finite");
    require(!model::out_of_bounds(parameter.value(), axis.values[i]), "values of an axis keep the bounds");
  }
}

/// A range of more than 9,999 values is as good as one of fewer, and slow.
bool asks_for_many(std::string_view text) {
  const std::string_view count = text.substr(std::min(text.rfind(':'), text.size() - 1) + 1);
  return std::count_if(count.begin(), count.end(), [](unsigned char c) { return std::isdigit(c) != 0; }) > 4;
}

void read_axis(std::string_view text) {
  if (text.empty() || asks_for_many(text)) return;
  const Result<studies::SweepAxis> read = studies::read_axis(small(), text);
  if (!read) return require_usage(read.issues());
  require_axis(read.value());
  const bool range = text.find(':', text.find('=')) != std::string_view::npos;
  if (range && read.value().values.size() > 1) {
    const std::vector<double>& values = read.value().values;
    const auto [low, high] = std::minmax(values.front(), values.back());
    for (const double value : values)
      require(value >= low && value <= high, "a range stays between its ends");
  }
}

void read_axis_table(std::string_view text) {
  static const ScratchFolder folder;
  const Result<studies::SweepAxis> read = studies::read_axis_table(small(), folder.write("axis.csv", text));
  if (!read) return require_sound(read.issues(), text);
  require_axis(read.value());
}

void read_condition(std::string_view text) {
  const Result<studies::SizeQuestion> read = studies::read_condition(small(), std::string(text));
  if (!read) return require_usage(read.issues());
  require(std::isfinite(read.value().target), "a target is finite");
  require(!read.value().quantity.empty(), "a target is one of a quantity");
}

void find_parameter(std::string_view name) {
  const Result<model::Parameter> found = model::find_parameter(small(), name);
  if (!found) return require_usage(found.issues());
  require(found.value().name == name, "a parameter bears the name that was asked for");
  model::Model copy = small();
  const double value = model::parameter_value(copy, found.value());
  require(!std::isnan(value), "a parameter has a value");
  if (model::out_of_bounds(found.value(), value)) return;
  model::set_parameter(copy, found.value(), value);
  require(same(model::parameter_value(copy, found.value()), value), "a parameter keeps what is set");
  model::write_parameter(copy, found.value());
  // What needs others beside it is refused by whoever asks for it.
  if (!studies::broken_rules(copy, {found.value()}, "fuzzed").empty()) return;
  const Result<model::Model> again = model::parse_model(model::write_model(copy), "small.corefeed", ".");
  require(again.ok(), "a model with a parameter written can be read");
  require(same(model::parameter_value(again.value(), found.value()), value),
          "what is written is what was set");
}

}  // namespace

void run(std::string_view bytes) {
  const auto [choice, text] = choose(bytes, 4);
  if (choice == 0) return read_axis(text);
  if (choice == 1) return read_condition(text);
  if (choice == 2) return find_parameter(text);
  read_axis_table(text);
}

}  // namespace corefeed::fuzz
