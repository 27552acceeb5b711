// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

/// Published values beside those of the library: checked by the tests, recorded for the page
/// docs/validation.md.
namespace corefeed::published {

/// How far a value may lie from the printed one: the wider of a share of it and a number.
struct Tolerance {
  double relative = 0;
  double absolute = 0;
  double allowed(double printed) const;
};
constexpr Tolerance relative(double share) { return {share, 0.0}; }
constexpr Tolerance absolute(double difference) { return {0.0, difference}; }
constexpr Tolerance either(double share, double difference) { return {share, difference}; }

/// Compared: the source states another author's equation than the one that the library uses.
enum class Result { met, compared, not_met };

struct Value {
  std::string quantity;
  double ours = 0;
  double printed = 0;
  Tolerance tolerance;
  Result result = Result::met;
  std::string remark;  ///< why a value is not met, or what lies between two authors
};

struct Row {
  std::string id, source, what;
  std::vector<Value> values;
  /// A row is met when all its values are.
  Result result() const;
};

/// One published check. Several tests may give values of the same row, each under a name of its own; source
/// and statement are those of the first.
class Published {
 public:
  Published(std::string_view id, std::string_view source, std::string_view what);

  /// Expects the value within the tolerance stated for it.
  Published& met(std::string_view quantity, double ours, double printed, Tolerance tolerance);
  /// Expects the value within a bound of our own around another author's.
  Published& compared(std::string_view quantity, double ours, double printed, Tolerance within,
                      std::string_view note);
  /// Expects the value outside the tolerance stated for it, so that the list of these stays true.
  Published& not_met(std::string_view quantity, double ours, double printed, Tolerance tolerance,
                     std::string_view reason);

 private:
  void record(Value value);
  std::size_t place_;
};

/// Everything recorded so far in this process, by id.
std::vector<Row> recorded();

}  // namespace corefeed::published
