// SPDX-License-Identifier: Apache-2.0
#include "corefeed/fluids/oil_grade.hpp"

#include <limits>

namespace corefeed::fluids {
namespace {

struct Row {
  std::string_view name;
  double lowest;      ///< mm2/s at 100 degC
  double below;       ///< mm2/s
  double high_shear;  ///< mPa s at 150 degC
};

constexpr double open = std::numeric_limits<double>::infinity();

constexpr Row hot_grades[] = {{"8", 4.0, 6.1, 1.7},    {"12", 5.0, 7.1, 2.0},  {"16", 6.1, 8.2, 2.3},
                              {"20", 6.9, 9.3, 2.6},   {"30", 9.3, 12.5, 2.9}, {"40", 12.5, 16.3, 3.7},
                              {"50", 16.3, 21.9, 3.7}, {"60", 21.9, 26.1, 3.7}};
constexpr Row winter_grades[] = {{"0W", 3.8, open, 0.0},  {"5W", 3.8, open, 0.0},  {"10W", 4.1, open, 0.0},
                                 {"15W", 5.6, open, 0.0}, {"20W", 5.6, open, 0.0}, {"25W", 9.3, open, 0.0}};

template <std::size_t n>
const Row* find(const Row (&rows)[n], std::string_view name) {
  for (const Row& row : rows) {
    if (row.name == name) return &row;
  }
  return nullptr;
}

}  // namespace

std::optional<OilGrade> oil_grade(std::string_view name) {
  const std::size_t dash = name.find('-');
  const std::string_view winter = dash == std::string_view::npos ? name : name.substr(0, dash);
  const Row* cold = find(winter_grades, winter);
  const Row* hot = find(hot_grades, dash == std::string_view::npos ? name : name.substr(dash + 1));
  if (dash != std::string_view::npos && (cold == nullptr || hot == nullptr)) return std::nullopt;
  const Row* row = hot != nullptr ? hot : cold;
  if (row == nullptr) return std::nullopt;
  // 0W-40, 5W-40 and 10W-40 may be thinner under shear than 40 and the heavier winter grades of it.
  const bool light =
      hot != nullptr && hot->name == "40" && (winter == "0W" || winter == "5W" || winter == "10W");
  return OilGrade{row->lowest * 1e-6, row->below * 1e-6, (light ? 3.5 : row->high_shear) * 1e-3};
}

const Source& oil_grade_source() {
  static const Source source{
      "SAE J300, January 2015, read on public pages; grades 8, 12, 60 and 15W from memory",
      "engine oils, new", 0.0, Tag::read};
  return source;
}

}  // namespace corefeed::fluids
