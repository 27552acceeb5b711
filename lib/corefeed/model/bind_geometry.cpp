// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

/// A number in the model beats the measured one; the result then says so.
void take_number(Reader& reader, Element& element, const std::string& name, double value) {
  Numbers& numbers = element.numbers;
  const std::size_t key = losses::find_key(*numbers.kind, name);
  if (key == losses::npos) return;
  if ((numbers.given >> key & 1U) != 0) {
    const losses::Key& row = numbers.kind->keys[key];
    reader.warn(pointer_join(element.pointer, name), "measurement_overridden",
                fmt::format("{}.{} is {} in the model; {} measured in {} is not used", element.name, name,
                            units::show(numbers.value[key], row.quantity), units::show(value, row.quantity),
                            element.geometry->file));
    return;
  }
  numbers.value[key] = value;
  numbers.given |= std::uint64_t{1} << key;
  numbers.measured |= std::uint64_t{1} << key;
}

void take_measurement(Reader& reader, Element& element, MeasuredElement measured) {
  for (const auto& [name, value] : measured.numbers) take_number(reader, element, name, value);
  for (std::size_t i = 0; i < measured.pieces.size(); ++i) {
    Piece piece = std::move(measured.pieces[i]);
    piece.name = fmt::format("{}/{} {}", element.name, i + 1, piece.numbers.kind->name);
    check_numbers(reader, element.pointer, piece.numbers);
    element.pieces.push_back(std::move(piece));
  }
  element.fingerprints = std::move(measured.fingerprints);
  for (Issue issue : measured.warnings) {
    issue.place.pointer = element.pointer;
    reader.warnings.push_back(std::move(issue));
  }
}

}  // namespace

void bind_geometry(Reader& reader, Model& model, const ReadOptions& options) {
  for (Element& element : model.elements) {
    if (!element.geometry) continue;
    const std::string pointer = pointer_join(element.pointer, "geometry");
    if (!options.geometry) {
      reader.error(
          pointer, "no_geometry_reader",
          fmt::format("{} takes its numbers from {}, and this program was built without reading CAD files; "
                      "write the numbers instead",
                      element.name, quoted(element.geometry->file)));
      continue;
    }
    Result<MeasuredElement> measured = options.geometry(element);
    if (measured) {
      take_measurement(reader, element, std::move(measured).value());
      continue;
    }
    for (const Issue& issue : measured.issues()) {
      // The model's place tells where the part is asked for; the STEP file's own line stays in the text.
      const std::string where = describe({.code = issue.code, .place = issue.place, .text = issue.text});
      const Status status = issue.status;
      reader.error(pointer, issue.code, where);
      reader.issues.back().status = status;
    }
  }
}

}  // namespace corefeed::model
