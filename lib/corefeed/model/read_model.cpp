// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <filesystem>

#include "corefeed/model/build.hpp"
#include "corefeed/model/lock.hpp"
#include "corefeed/model/reader.hpp"
#include "corefeed/model/sha1.hpp"

namespace corefeed::model {
namespace {

std::vector<std::string_view> keys_of(const Value& object) {
  std::vector<std::string_view> keys;
  for (const auto& [key, value] : object.members) keys.push_back(key);
  return keys;
}

/// The document with a variant's merge patch on it. The variants themselves stay for the writer.
bool apply_variant(Reader& reader, Document& document, const std::string& name) {
  if (name.empty()) return true;
  const Value* variants = document.root.find("variants");
  const Value* patch = variants == nullptr ? nullptr : variants->find(name);
  if (patch == nullptr) {
    const auto known = variants == nullptr ? std::vector<std::string_view>() : keys_of(*variants);
    reader.error("/variants", "unknown_variant",
                 fmt::format("there is no variant {}{}; there are: {}", quoted(name), suggestion(name, known),
                             known.empty() ? "none" : fmt::format("{}", fmt::join(known, ", "))));
    return false;
  }
  if (patch->kind != Value::Kind::object) {
    reader.error(pointer_join("/variants", name), "wrong_type", "a variant is an object of overrides");
    return false;
  }
  const Value copy = *patch;
  document.root = merge_patch(document.root, copy);
  return true;
}

void read_top(Reader& reader, Model& model) {
  const Spot root = reader.root();
  reader.refuse_unknown(root, {"corefeed", "title", "ambient", "reference", "air", "loops",
                               "surface_pressure", "points", "requirements", "to_decide", "variants"});
  const Spot version = reader.required(root, "corefeed", "the version of the model format, 1");
  if (version) {
    const auto number = reader.number(version, units::Quantity::number);
    if (number && *number != 1.0) {
      reader.error(version.pointer, "out_of_bounds",
                   fmt::format("found format version {}, this program reads version 1", version.value->text));
    }
  }
  if (const Spot title = Reader::member(root, "title")) model.title = reader.text(title).value_or("");
  const Spot variants = Reader::member(root, "variants");
  if (!variants || !reader.want(variants, Value::Kind::object)) return;
  for (const auto& [name, patch] : variants.value->members) {
    if (!is_ignored(name)) reader.want({&patch, pointer_join(variants.pointer, name)}, Value::Kind::object);
  }
}

/// A proposed model is no model before its open questions are answered. True where there are any.
bool refuse_undecided(Reader& reader) {
  const Spot list = Reader::member(reader.root(), "to_decide");
  if (!list || !reader.want(list, Value::Kind::array)) return false;
  for (std::size_t i = 0; i < list.value->items.size(); ++i) {
    const Spot one{&list.value->items[i], pointer_join(list.pointer, fmt::format("{}", i))};
    if (!reader.want(one, Value::Kind::object)) continue;
    const auto text = [&](std::string_view key) {
      const Spot spot = Reader::member(one, key);
      return spot ? reader.text(spot).value_or("") : std::string();
    };
    reader.refuse_unknown(one, {"pointer", "what", "reason"});
    reader.error(one.pointer, "to_decide",
                 fmt::format("still to decide: {}: {} ({}); write it in and take this entry out",
                             text("pointer"), text("what"), text("reason")));
  }
  return !list.value->items.empty();
}

Result<Model> read_parsed(Document document, const std::string& folder, const ReadOptions& options) {
  Model model;
  model.file = document.file;
  {
    Reader reader(document, folder, options.allow_roots);
    if (!reader.want(reader.root(), Value::Kind::object) ||
        !apply_variant(reader, document, options.variant)) {
      return reader.take_issues();
    }
  }
  model.document = std::move(document);
  Reader reader(model.document, folder, options.allow_roots);
  if (refuse_undecided(reader)) return reader.take_issues();
  read_top(reader, model);
  read_ambient(reader, model);
  read_air(reader, model);
  read_loops(reader, model);
  read_surface_pressure(reader, model);
  read_points(reader, model);
  read_requirements(reader, model);
  if (reader.issues.empty()) bind_geometry(reader, model, options);
  // What was not measured because of other errors is not missing.
  const bool bound = reader.issues.empty();
  for (const Element& element : model.elements) {
    const bool asks_cad =
        find_value(model.document.root, pointer_join(element.pointer, "geometry")) != nullptr;
    if (bound || !asks_cad) check_numbers(reader, element.pointer, element.numbers);
  }
  if (reader.issues.empty()) check_names(reader, model);
  if (reader.issues.empty()) check_references(reader, model);
  if (reader.issues.empty()) fit_tests(reader, model);
  if (reader.issues.empty()) check_quantities(reader, model);
  if (!reader.issues.empty()) return reader.take_issues();
  model.warnings = std::move(reader.warnings);
  for (const Issue& issue : model.document.warnings) model.warnings.push_back(issue);
  model.hash = sha1_of(write_document(model.document.root));
  return model;
}

}  // namespace

const Element* Model::find_element(std::string_view name) const {
  for (const Element& element : elements) {
    if (element.name == name) return &element;
  }
  return nullptr;
}

Result<Model> read_model(const std::string& path, const ReadOptions& options) {
  Result<Document> document = read_document(path);
  if (!document) return document.issues();
  Result<Model> model =
      read_parsed(std::move(document).value(), std::filesystem::path(path).parent_path().string(), options);
  // A variant may be bound to other parts; the lock is the model's own.
  if (!model || !options.variant.empty()) return model;
  std::vector<Issue> changed = compare_lock(model.value());
  const auto fails = [](const Issue& issue) { return issue.severity == Severity::error; };
  if (std::any_of(changed.begin(), changed.end(), fails)) return changed;
  for (Issue& issue : changed) model.value().warnings.push_back(std::move(issue));
  return model;
}

Result<Model> parse_model(std::string_view text, const std::string& label, const std::string& folder,
                          const ReadOptions& options) {
  Result<Document> document = parse_document(text, label);
  if (!document) return document.issues();
  return read_parsed(std::move(document).value(), folder, options);
}

std::vector<std::string> variant_names(const Model& model) {
  std::vector<std::string> names;
  const Value* variants = model.document.root.find("variants");
  if (variants == nullptr) return names;
  for (const auto& [name, patch] : variants->members) {
    if (!is_ignored(name)) names.push_back(name);
  }
  return names;
}

std::string write_model(const Model& model) { return write_document(model.document.root); }

}  // namespace corefeed::model
