// SPDX-License-Identifier: Apache-2.0
#include "tests/published/published.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace corefeed::published {
namespace {

std::vector<Row>& rows() {
  static std::vector<Row> all;
  return all;
}

bool within(const Value& value) {
  return std::abs(value.ours - value.printed) <= value.tolerance.allowed(value.printed);
}

/// "S-ML-2" before "S-ML-11": of one topic the shorter id is the smaller number.
bool earlier(const Row& a, const Row& b) {
  const std::string_view topic_a = std::string_view(a.id).substr(0, 4);
  const std::string_view topic_b = std::string_view(b.id).substr(0, 4);
  if (topic_a != topic_b) return topic_a < topic_b;
  return a.id.size() != b.id.size() ? a.id.size() < b.id.size() : a.id < b.id;
}

std::string told(const std::string& id, const Value& value) {
  return id + ' ' + value.quantity + ": " + std::to_string(value.ours) + " for a printed " +
         std::to_string(value.printed) + ", off by " + std::to_string(value.ours / value.printed - 1.0) +
         " of it";
}

}  // namespace

double Tolerance::allowed(double printed) const { return std::max(absolute, relative * std::abs(printed)); }

Result Row::result() const {
  Result all = Result::met;
  for (const Value& value : values) all = std::max(all, value.result);
  return all;
}

Published::Published(std::string_view id, std::string_view source, std::string_view what) {
  auto& all = rows();
  const auto found = std::find_if(all.begin(), all.end(), [&](const Row& row) { return row.id == id; });
  place_ = static_cast<std::size_t>(found - all.begin());
  if (found == all.end()) all.push_back({std::string(id), std::string(source), std::string(what), {}});
}

void Published::record(Value value) {
  Row& row = rows()[place_];
  for (const Value& other : row.values) {
    EXPECT_NE(other.quantity, value.quantity) << row.id << " has two values of one name";
  }
  row.values.push_back(std::move(value));
}

Published& Published::met(std::string_view quantity, double ours, double printed, Tolerance tolerance) {
  const Value value{std::string(quantity), ours, printed, tolerance, Result::met, ""};
  EXPECT_TRUE(within(value)) << told(rows()[place_].id, value);
  record(value);
  return *this;
}

Published& Published::compared(std::string_view quantity, double ours, double printed, Tolerance within_bound,
                               std::string_view note) {
  const Value value{std::string(quantity), ours, printed, within_bound, Result::compared, std::string(note)};
  EXPECT_TRUE(within(value)) << told(rows()[place_].id, value);
  record(value);
  return *this;
}

Published& Published::not_met(std::string_view quantity, double ours, double printed, Tolerance tolerance,
                              std::string_view reason) {
  const Value value{std::string(quantity), ours, printed, tolerance, Result::not_met, std::string(reason)};
  EXPECT_FALSE(within(value)) << told(rows()[place_].id, value) << "; it is met now";
  record(value);
  return *this;
}

std::vector<Row> recorded() {
  std::vector<Row> all = rows();
  std::sort(all.begin(), all.end(), &earlier);
  return all;
}

}  // namespace corefeed::published
