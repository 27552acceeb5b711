// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/bound_hash.hpp"

#include <bit>
#include <cstdint>
#include <limits>
#include <span>

#include "corefeed/model/sha1.hpp"
#include "corefeed/model/surface_pressure.hpp"
#include "corefeed/model/text_file.hpp"

namespace corefeed::model {
namespace {

/// Takes values in a form in which no two lists of them look alike.
class HashedValues {
 public:
  void add(std::uint64_t number) {
    char bytes[8];
    for (unsigned i = 0; i < 8; ++i) bytes[i] = static_cast<char>(number >> 8 * i & 0xffU);
    hash_.add({bytes, sizeof bytes});
  }
  void add(double number) { add(std::bit_cast<std::uint64_t>(number)); }
  void add(const std::optional<double>& number) {
    add(std::uint64_t{number.has_value()});
    add(number.value_or(0.0));
  }
  void add(std::string_view text) {
    add(std::uint64_t{text.size()});
    hash_.add(text);
  }
  void add(std::span<const double> numbers) {
    add(std::uint64_t{numbers.size()});
    for (const double number : numbers) add(number);
  }
  void add(const std::map<std::string, double>& numbers) {
    add(std::uint64_t{numbers.size()});
    for (const auto& [name, number] : numbers) {
      add(std::string_view(name));
      add(number);
    }
  }
  std::string hex() const { return hash_.hex(); }

 private:
  Sha1 hash_;
};

void add_numbers(HashedValues& print, const Numbers& numbers) {
  print.add(std::string_view(numbers.kind->name));
  print.add(std::span(numbers.value));
  print.add(numbers.given);
  for (const auto& curve : numbers.curves) {
    print.add(std::uint64_t{curve != nullptr});
    if (curve == nullptr) continue;
    print.add(std::uint64_t{curve->abscissa()});
    print.add(std::span(curve->x()));
    print.add(std::span(curve->y()));
  }
}

void add_point(HashedValues& print, const Point& point) {
  print.add(std::string_view(point.name));
  for (const double number : {point.speed, point.yaw}) print.add(number);
  for (const auto& number : {point.ride_height, point.engine_speed, point.shaft_power}) print.add(number);
  print.add(point.heat_load);
  print.add(point.cp);
  for (const auto& [fan, state] : point.fans) {
    print.add(std::string_view(fan));
    print.add(static_cast<std::uint64_t>(state));
  }
}

}  // namespace

std::string bound_hash(const Model& model) {
  HashedValues print;
  print.add(std::string_view(model.hash));
  for (const Element& element : model.elements) {
    print.add(std::string_view(element.name));
    add_numbers(print, element.numbers);
    for (const Piece& piece : element.pieces) add_numbers(print, piece.numbers);
  }
  for (const Point& point : model.points) add_point(print, point);
  if (model.surface_pressure) {
    // What stood in the file when the model was read; it is small and seldom rewritten meanwhile.
    const Result<std::string> table =
        read_text_file(model.surface_pressure->file(), std::numeric_limits<std::size_t>::max());
    print.add(std::string_view(table ? table.value() : std::string()));
  }
  return print.hex();
}

}  // namespace corefeed::model
