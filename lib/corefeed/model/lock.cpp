// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/lock.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <set>
#include <utility>

#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

using units::Quantity;

constexpr double same_size = 1e-4;
constexpr double same_place = 1e-4;   // m
constexpr double same_turn = 1.7e-3;  // rad

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

std::array<double, 3> read_triple(Reader& reader, const Spot& print, std::string_view key) {
  std::array<double, 3> numbers{};
  const Spot list = reader.required(print, key, "three numbers");
  if (!list || !reader.want(list, Value::Kind::array)) return numbers;
  if (list.value->items.size() != 3) {
    reader.error(list.pointer, "wrong_type",
                 fmt::format("found {} numbers, expected three", list.value->items.size()));
    return numbers;
  }
  for (std::size_t i = 0; i < 3; ++i) {
    const Spot one{&list.value->items[i], pointer_join(list.pointer, fmt::format("{}", i))};
    numbers[i] = reader.number(one, Quantity::number).value_or(0.0);
  }
  return numbers;
}

Fingerprint read_print(Reader& reader, const Spot& print) {
  Fingerprint made;
  if (!reader.want(print, Value::Kind::object)) return made;
  const auto number = [&](std::string_view key) {
    const Spot spot = reader.required(print, key, "a number in SI units");
    return spot ? reader.number(spot, Quantity::number).value_or(0.0) : 0.0;
  };
  const Spot of = reader.required(print, "of", "which opening, cut-out, face or gap it is");
  if (of) made.of = reader.text(of).value_or("");
  made.area = number("area");
  made.perimeter = number("perimeter");
  made.center = read_triple(reader, print, "center");
  made.normal = read_triple(reader, print, "normal");
  return made;
}

std::vector<Fingerprint> read_prints(Reader& reader, const Spot& list) {
  std::vector<Fingerprint> made;
  if (!reader.want(list, Value::Kind::array)) return made;
  for (std::size_t i = 0; i < list.value->items.size(); ++i)
    made.push_back(
        read_print(reader, {&list.value->items[i], pointer_join(list.pointer, fmt::format("{}", i))}));
  return made;
}

/// The lock's fingerprints by element; what is wrong there is told by the reader.
std::vector<std::pair<std::string, std::vector<Fingerprint>>> read_lock(Reader& reader) {
  std::vector<std::pair<std::string, std::vector<Fingerprint>>> locked;
  if (!reader.want(reader.root(), Value::Kind::object)) return locked;
  const Spot version = Reader::member(reader.root(), "corefeed_lock");
  if (!version || version.value->number != 1.0) {
    reader.error("", "wrong_format", "this is no lock of version 1; write it anew with validate --lock");
    return locked;
  }
  const Spot elements = reader.required(reader.root(), "elements", "what is bound, by element");
  if (!elements || !reader.want(elements, Value::Kind::object)) return locked;
  for (const auto& [name, list] : elements.value->members)
    locked.emplace_back(name, read_prints(reader, {&list, pointer_join(elements.pointer, name)}));
  return locked;
}

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

const Fingerprint* print_of(const std::vector<Fingerprint>& prints, const std::string& of) {
  const auto found =
      std::find_if(prints.begin(), prints.end(), [&of](const Fingerprint& one) { return one.of == of; });
  return found == prints.end() ? nullptr : &*found;
}

void compare_element(const Model& model, const Element& element, const std::vector<Fingerprint>& locked,
                     std::vector<Issue>& found) {
  const auto tell = [&](const std::string& of, const std::string& what) {
    found.push_back(model.document.issue(
        pointer_join(element.pointer, "geometry"), "geometry_changed",
        fmt::format("{}: {} of {} {}", element.name, of, element.geometry->file, what), Severity::warning));
  };
  for (const Fingerprint& now : element.fingerprints) {
    const Fingerprint* old = print_of(locked, now.of);
    if (old == nullptr) {
      tell(now.of, "is new since the lock");
    } else if (const std::string changed = changes(*old, now); !changed.empty()) {
      tell(now.of, "has changed since the lock: " + changed);
    }
  }
  for (const Fingerprint& old : locked) {
    if (print_of(element.fingerprints, old.of) == nullptr) tell(old.of, "stood in the lock and is gone");
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
      found.push_back(model.document.issue(
          "", "no_lock",
          "numbers come from CAD and there is no lock; validate --lock writes one, so that "
          "changes of the drawing are told",
          Severity::note));
    }
    return found;
  }
  const Result<Document> document = read_document(path);
  if (!document) return document.issues();
  Reader reader(document.value(), "", {});
  const auto locked = read_lock(reader);
  if (!reader.issues.empty()) return reader.take_issues();
  std::set<std::string> names;
  for (const auto& [name, prints] : locked) {
    names.insert(name);
    const Element* element = model.find_element(name);
    if (element != nullptr && bound(*element)) {
      compare_element(model, *element, prints, found);
    } else {
      found.push_back(model.document.issue(
          "/air/elements", "lock_unused",
          fmt::format("the lock has {}, which takes no numbers from CAD now", quoted(name)),
          Severity::warning));
    }
  }
  for (const Element& element : model.elements) {
    if (!bound(element) || names.contains(element.name)) continue;
    found.push_back(model.document.issue(
        element.pointer, "not_locked",
        fmt::format("{} takes numbers from CAD and is not in the lock", element.name), Severity::warning));
  }
  return found;
}

}  // namespace corefeed::model
