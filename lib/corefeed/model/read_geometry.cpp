// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <string>

#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

using losses::Kind;

/// "#rrggbb" in lower case; reports anything else.
std::string read_color(Reader& reader, const Spot& spot) {
  std::string color = reader.text(spot).value_or("");
  std::transform(color.begin(), color.end(), color.begin(),
                 [](char c) { return c >= 'A' && c <= 'F' ? static_cast<char>(c - 'A' + 'a') : c; });
  const bool sound = color.size() == 7 && color.front() == '#' &&
                     color.find_first_not_of("0123456789abcdef", 1) == std::string::npos;
  if (!color.empty() && !sound) {
    reader.error(
        spot.pointer, "wrong_type",
        fmt::format("{} is no color; write it as \"#rrggbb\" with two hexadecimal digits each for red, "
                    "green and blue",
                    quoted(color)));
  }
  return color;
}

std::optional<std::array<double, 3>> read_place(Reader& reader, const Spot& spot) {
  if (!reader.want(spot, Value::Kind::array)) return std::nullopt;
  if (spot.value->items.size() != 3) {
    reader.error(spot.pointer, "wrong_type",
                 fmt::format("a place has three coordinates, found {}", spot.value->items.size()));
    return std::nullopt;
  }
  std::array<double, 3> place{};
  for (std::size_t i = 0; i < 3; ++i) {
    const Spot one{&spot.value->items[i], pointer_join(spot.pointer, fmt::format("{}", i))};
    const auto number = reader.number(one, units::Quantity::length);
    if (!number) return std::nullopt;
    place[i] = *number;
  }
  return place;
}

OpeningSelector read_selector(Reader& reader, const Spot& spot) {
  reader.refuse_unknown(spot, {"layer", "color", "facing", "near"});
  OpeningSelector selector;
  if (const Spot layer = Reader::member(spot, "layer")) selector.layer = reader.text(layer).value_or("");
  if (const Spot color = Reader::member(spot, "color")) selector.color = read_color(reader, color);
  if (const Spot facing = Reader::member(spot, "facing")) {
    constexpr std::array<std::string_view, 6> axes{"+x", "-x", "+y", "-y", "+z", "-z"};
    const auto axis = reader.choice(facing, {axes.begin(), axes.end()});
    if (axis) selector.facing = axes[static_cast<std::size_t>(*axis)];
  }
  if (const Spot near = Reader::member(spot, "near")) selector.near = read_place(reader, near);
  if (spot.value->members.empty()) {
    reader.error(spot.pointer, "missing_key",
                 "an opening is chosen by its name, or by layer, color, facing or near");
  }
  return selector;
}

void read_target(Reader& reader, const Spot& spot, std::string_view target, GeometryReference& reference) {
  if (target == "opening" && spot.value->kind == Value::Kind::object) {
    reference.selector = read_selector(reader, spot);
    return;
  }
  const std::string text = reader.text(spot).value_or("");
  if (target == "opening") reference.opening = text;
  if (target == "cutout") reference.cutout = text;
  if (target == "core") reference.core = text;
  if (target == "gap") reference.gap = text;
  if (target == "from") reference.from = text;
  if (target == "to") reference.to = text;
}

bool has_key(const Kind& kind, std::string_view name) { return losses::find_key(kind, name) != losses::npos; }

}  // namespace

std::vector<std::string_view> geometry_targets(const Kind& kind) {
  if (is_path(kind)) return {"from", "to"};
  if (kind.carries == losses::Carries::liquid) return {};
  if (kind.ends == losses::Ends::no_from || kind.ends == losses::Ends::no_to) return {"opening", "cutout"};
  if (kind.heated && has_key(kind, "face_area")) return {"core"};
  if (kind.ends == losses::Ends::both && has_key(kind, "gap") && has_key(kind, "length")) return {"gap"};
  return {};
}

bool takes_geometry(const Kind& kind) { return !geometry_targets(kind).empty(); }

std::string_view meaning_of_target(std::string_view target) {
  if (target == "opening") return "opening of the part whose area counts: its name, or what tells it apart";
  if (target == "cutout") return "cut-out of a panel: area, blades and what stands behind it";
  if (target == "core") return "part that is a core: its face area";
  if (target == "gap") return "core that the end of the part stands before: the gap round its rim";
  if (target == "from") return "opening of the part at the path's begin; of several paths only";
  return "opening of the part at the path's end; of several paths only";
}

std::optional<GeometryReference> read_geometry(Reader& reader, const Spot& spot, const Kind& kind) {
  if (!reader.want(spot, Value::Kind::object)) return std::nullopt;
  const std::vector<std::string_view> targets = geometry_targets(kind);
  std::vector<std::string_view> known{"file", "part"};
  known.insert(known.end(), targets.begin(), targets.end());
  reader.refuse_unknown(spot, known);
  GeometryReference reference;
  const Spot file = reader.required(spot, "file", "the STEP file, relative to the model");
  if (!file) return std::nullopt;
  if (const Spot part = Reader::member(spot, "part")) reference.part = reader.text(part).value_or("");
  int found = 0;
  for (const std::string_view target : targets) {
    const Spot value = Reader::member(spot, target);
    if (!value) continue;
    ++found;
    read_target(reader, value, target, reference);
  }
  if (!is_path(kind) && found == 0)
    reader.required(spot, targets.front(), std::string(meaning_of_target(targets.front())));
  if (!is_path(kind) && found > 1) {
    reader.error(spot.pointer, "conflicting_keys",
                 fmt::format("{} stand together; one of them says what of the part is meant",
                             fmt::join(targets, " and ")));
  }
  const auto path = reader.file(file);
  if (!path) return std::nullopt;
  reference.path = *path;
  reference.file = file.value->text;
  return reference;
}

}  // namespace corefeed::model
