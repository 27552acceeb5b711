// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <set>
#include <string>

// valijson's adapter wants its reader's header first.
#include <nlohmann/json.hpp>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validator.hpp>

#include "corefeed/model/build.hpp"
#include "corefeed/model/text_file.hpp"
#include "tests/fuzz/oracle.hpp"

/// Model files: what is accepted is valid by the schema, judged by another validator; is the same model with
/// the same bytes when it is written and read again; can be built at its points; and its variants are models
/// or are refused in words.
namespace corefeed::fuzz {
namespace {

using Adapter = valijson::adapters::NlohmannJsonAdapter;

/// The standard library's patterns recurse once a character.
constexpr std::size_t longest_validated = 4000;

/// The schema as the other validator holds it, with the patterns that it has compiled.
class Schema {
 public:
  Schema() : text_(nlohmann::json::parse(model::schema())) {
    valijson::SchemaParser().populateSchema(Adapter(text_), schema_);
  }
  bool accepts(std::string_view text) {
    const nlohmann::json document = nlohmann::json::parse(model::without_byte_order_mark(text));
    return validator_.validate(schema_, Adapter(document), nullptr);
  }

 private:
  nlohmann::json text_;
  valijson::Schema schema_;
  valijson::Validator validator_;
};

/// Tables that a model may name.
void write_tables(const ScratchFolder& folder) {
  folder.write("points.csv", "name,speed [km/h]\nslow,60\nfast,200\n");
  folder.write("cp.csv", "opening,yaw [deg],cp\nnose,-5,0.7\nnose,5,0.8\nvent,-5,-0.2\nvent,5,-0.3\n");
  folder.write("fan.csv", "volume_flow [m3/s],pressure_rise [Pa]\n0,300\n0.5,250\n1,0\n");
  folder.write("loss.csv", "velocity [m/s],pressure_loss [Pa]\n2,50\n4,180\n8,700\n");
}

bool alike(const model::Numbers& a, const model::Numbers& b) {
  bool all = a.kind == b.kind && a.given == b.given && a.value.size() == b.value.size();
  for (std::size_t i = 0; all && i < a.value.size(); ++i)
    all = same(a.value[i], b.value[i]) || (std::isnan(a.value[i]) && std::isnan(b.value[i]));
  return all;
}

bool alike(const model::Model& a, const model::Model& b) {
  bool all = a.title == b.title && same(a.temperature, b.temperature) && same(a.pressure, b.pressure) &&
             same(a.relative_humidity, b.relative_humidity) && a.elements.size() == b.elements.size() &&
             a.nodes.size() == b.nodes.size() && a.loops.size() == b.loops.size() &&
             a.points.size() == b.points.size() && a.requirements.size() == b.requirements.size();
  for (std::size_t i = 0; all && i < a.elements.size(); ++i) {
    all = a.elements[i].name == b.elements[i].name && a.elements[i].from == b.elements[i].from &&
          a.elements[i].to == b.elements[i].to && alike(a.elements[i].numbers, b.elements[i].numbers);
  }
  for (std::size_t i = 0; all && i < a.points.size(); ++i)
    all = a.points[i].name == b.points[i].name && same(a.points[i].speed, b.points[i].speed);
  for (std::size_t i = 0; all && i < a.requirements.size(); ++i)
    all = a.requirements[i].quantity == b.requirements[i].quantity &&
          same(a.requirements[i].limit, b.requirements[i].limit);
  return all;
}

void require_built(const model::Model& model) {
  const model::Built built = model::build(model, model.points.front());
  require(network::check_topology(built.problem.network).empty(), "an accepted model's network is sound");
  for (const network::Element& element : built.problem.network.elements)
    for (std::size_t i = 0; i < element.numbers.size(); ++i)
      require((element.given >> i & 1U) == 0 || !std::isinf(element.numbers[i]), "given numbers are finite");
  std::set<std::string> names;
  for (const cooling::NamedQuantity& one : cooling::quantity_names(built.problem))
    require(names.insert(one.name).second, "a quantity has a name of its own");
  require_fit(model::model_warnings(model, built));
}

}  // namespace

void run(std::string_view bytes) {
  static const ScratchFolder folder;
  static const bool written = (write_tables(folder), true);
  require(written, "there are tables");
  const std::string here = folder.path("");
  const Result<model::Model> read = model::parse_model(bytes, "fuzzed.corefeed", here);
  // A fault may stand in a table.
  if (!read) return require_sound(read.issues(), std::string(bytes) + "\n\n\n\n\n");
  const model::Model& model = read.value();
  require_fit(model.warnings);
  static Schema schema;
  if (bytes.size() < longest_validated)
    require(schema.accepts(bytes), "what is accepted is valid by the schema");
  const std::string text = model::write_model(model);
  const Result<model::Model> again = model::parse_model(text, "fuzzed.corefeed", here);
  require(again.ok(), "what is written can be read");
  require(alike(model, again.value()), "what is written is what was read");
  require(model::write_model(again.value()) == text, "what is written again is the same text");
  require_built(model);
  for (const std::string& variant : model::variant_names(model)) {
    model::ReadOptions options;
    options.variant = variant;
    const Result<model::Model> other = model::parse_model(bytes, "fuzzed.corefeed", here, options);
    if (!other) require_fit(other.issues());
  }
}

}  // namespace corefeed::fuzz
