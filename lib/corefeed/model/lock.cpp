// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/lock.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

using units::Quantity;

constexpr double same_size = 1e-4;
constexpr double same_place = 1e-4;   // m
constexpr double same_turn = 1.7e-3;  // rad

Issue issue_of(const Model& model, const std::string& pointer, std::string code, std::string text,
               Severity severity) {
  Issue issue;
  issue.code = std::move(code);
  issue.severity = severity;
  issue.place = model.document.place(pointer);
  issue.text = std::move(text);
  return issue;
}

Value triple(const std::array<double, 3>& numbers) {
  return make_array({make_number(numbers[0]), make_number(numbers[1]), make_number(numbers[2])});
}

Value value_of(const Fingerprint& print) {
  return make_object({{"of", make_text(print.of)},
                      {"area", make_number(print.area)},
                      {"perimeter", make_number(print.perimeter)},
                      {"center", triple(print.center)},
                      {"normal", triple(print.normal)}});
}

/// Reads the lock's own document; what is wrong there is told with its place.
class LockReader {
 public:
  explicit LockReader(const Document& document) : document_(document) {}
  std::vector<Issue> issues;

  void want_version() {
    const Value* version = document_.root.find("corefeed_lock");
    if (version == nullptr || version->kind != Value::Kind::number || version->number != 1.0)
      add("", "wrong_format", "this is no lock of version 1; write it anew with validate --lock");
  }

  const Value* elements() {
    const Value* elements = document_.root.find("elements");
    if (elements != nullptr && elements->kind == Value::Kind::object) return elements;
    add("/elements", "wrong_type", "expected an object of the model's elements");
    return nullptr;
  }

  std::vector<Fingerprint> prints(const Value& list, const std::string& pointer) {
    std::vector<Fingerprint> made;
    if (list.kind != Value::Kind::array) {
      add(pointer, "wrong_type", fmt::format("found {}; expected a list", kind_name(list.kind)));
      return made;
    }
    for (std::size_t i = 0; i < list.items.size(); ++i) {
      const Value& one = list.items[i];
      const std::string place = pointer_join(pointer, fmt::format("{}", i));
      const Value* of = one.find("of");
      if (of == nullptr || of->kind != Value::Kind::string) {
        add(place, "wrong_type",
            "expected an object with \"of\", \"area\", \"perimeter\", \"center\", \"normal\"");
        continue;
      }
      made.push_back({of->text, number(one.find("area"), place), number(one.find("perimeter"), place),
                      numbers(one.find("center"), place), numbers(one.find("normal"), place)});
    }
    return made;
  }

 private:
  void add(const std::string& pointer, std::string code, std::string text) {
    Issue issue;
    issue.code = std::move(code);
    issue.status = Status::input;
    issue.place = document_.place(pointer);
    issue.text = std::move(text);
    issues.push_back(std::move(issue));
  }

  double number(const Value* value, const std::string& pointer) {
    if (value != nullptr && value->kind == Value::Kind::number) return value->number;
    add(pointer, "wrong_type", "\"area\", \"perimeter\", \"center\" and \"normal\" hold numbers");
    return 0.0;
  }

  std::array<double, 3> numbers(const Value* value, const std::string& pointer) {
    std::array<double, 3> made{};
    const bool three = value != nullptr && value->kind == Value::Kind::array && value->items.size() == 3;
    for (std::size_t i = 0; i < 3; ++i) made[i] = number(three ? &value->items[i] : nullptr, pointer);
    return made;
  }

  const Document& document_;
};

std::string change(std::string_view what, double old, double now, Quantity quantity) {
  const double biggest = std::max(std::abs(old), std::abs(now));
  if (std::abs(now - old) <= same_size * biggest) return {};
  return fmt::format("{} {} -> {}", what, units::show(old, quantity, 6), units::show(now, quantity, 6));
}

/// "area 520 cm2 -> 480 cm2, center moved by 10 mm"; empty where nothing has changed.
std::string changes(const Fingerprint& old, const Fingerprint& now) {
  std::vector<std::string> list{change("area", old.area, now.area, Quantity::area),
                                change("perimeter", old.perimeter, now.perimeter, Quantity::length)};
  double away = 0.0;
  double turned = 0.0;
  for (std::size_t i = 0; i < 3; ++i) {
    away = std::hypot(away, now.center[i] - old.center[i]);
    turned = std::hypot(turned, now.normal[i] - old.normal[i]);
  }
  const auto shown = [](const std::array<double, 3>& place) {
    return fmt::format("({:.1f}, {:.1f}, {:.1f}) mm", 1e3 * place[0], 1e3 * place[1], 1e3 * place[2]);
  };
  if (away > same_place) {
    list.push_back(fmt::format("center {} -> {}, {} away", shown(old.center), shown(now.center),
                               units::show(away, Quantity::length)));
  }
  if (turned > same_turn)
    list.push_back(fmt::format("direction turned by {}",
                               units::show(2.0 * std::asin(std::min(1.0, turned / 2.0)), Quantity::angle)));
  list.erase(std::remove(list.begin(), list.end(), std::string()), list.end());
  return fmt::format("{}", fmt::join(list, ", "));
}

void compare_element(const Model& model, const Element& element, const std::vector<Fingerprint>& locked,
                     std::vector<Issue>& found) {
  const std::string pointer = pointer_join(element.pointer, "geometry");
  for (const Fingerprint& now : element.fingerprints) {
    const auto old = std::find_if(locked.begin(), locked.end(),
                                  [&now](const Fingerprint& one) { return one.of == now.of; });
    if (old == locked.end()) {
      std::vector<std::string> names;
      for (const Fingerprint& one : locked) names.push_back(one.of);
      found.push_back(issue_of(model, pointer, "geometry_changed",
                               fmt::format("{} is bound to {}, in the lock to {}", element.name, now.of,
                                           fmt::join(names, " and ")),
                               Severity::warning));
      continue;
    }
    const std::string changed = changes(*old, now);
    if (!changed.empty()) {
      found.push_back(issue_of(model, pointer, "geometry_changed",
                               fmt::format("{}: {} of {} has changed since the lock: {}", element.name,
                                           now.of, element.geometry->file, changed),
                               Severity::warning));
    }
  }
}

}  // namespace

std::string lock_path(const std::string& model_file) { return model_file + ".lock.json"; }

std::string lock_text(const Model& model) {
  Value elements = make_object();
  for (const Element& element : model.elements) {
    if (element.fingerprints.empty()) continue;
    std::vector<Value> list;
    for (const Fingerprint& one : element.fingerprints) list.push_back(value_of(one));
    elements.members.emplace_back(element.name, make_array(std::move(list)));
  }
  return write_document(make_object({{"corefeed_lock", make_number(1)}, {"elements", std::move(elements)}}));
}

std::vector<Issue> compare_lock(const Model& model) {
  std::vector<Issue> found;
  const auto bound = [](const Element& element) { return !element.fingerprints.empty(); };
  const std::string path = lock_path(model.file);
  std::error_code error;
  if (!std::filesystem::exists(path, error)) {
    if (std::any_of(model.elements.begin(), model.elements.end(), bound)) {
      found.push_back(
          issue_of(model, "", "no_lock",
                   "numbers come from CAD and there is no lock; validate --lock writes one, so that "
                   "changes of the drawing are told",
                   Severity::note));
    }
    return found;
  }
  const Result<Document> document = read_document(path);
  if (!document) return document.issues();
  LockReader reader(document.value());
  reader.want_version();
  const Value* locked = reader.issues.empty() ? reader.elements() : nullptr;
  if (locked != nullptr) {
    for (const auto& [name, list] : locked->members) {
      const std::vector<Fingerprint> prints = reader.prints(list, pointer_join("/elements", name));
      const Element* element = model.find_element(name);
      if (element != nullptr && bound(*element)) {
        compare_element(model, *element, prints, found);
      } else {
        found.push_back(
            issue_of(model, "/air/elements", "lock_unused",
                     fmt::format("the lock has {}, which takes no numbers from CAD now", quoted(name)),
                     Severity::warning));
      }
    }
    for (const Element& element : model.elements) {
      if (!bound(element) || locked->find(element.name) != nullptr) continue;
      found.push_back(issue_of(model, element.pointer, "not_locked",
                               fmt::format("{} takes numbers from CAD and is not in the lock", element.name),
                               Severity::warning));
    }
  }
  if (!reader.issues.empty()) return reader.issues;
  return found;
}

}  // namespace corefeed::model
