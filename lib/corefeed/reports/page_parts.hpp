// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "corefeed/reports/page.hpp"
#include "corefeed/reports/svg.hpp"

/// What the sections of the page are put together from. Private to the room.
namespace corefeed::reports {

/// A cell of a table.
struct PageCell {
  std::string html;
  bool number = false;  ///< aligned to the right
};
PageCell cell(std::string_view text);
PageCell number_cell(std::string_view text);
PageCell html_cell(std::string html);

using PageRow = std::vector<PageCell>;

/// A table with a caption; the first cell of each row names the row. Empty without rows.
std::string page_table(std::string_view caption, const std::vector<std::string>& heads,
                       const std::vector<PageRow>& rows);

/// A picture with the words below it. `data` is what a script may draw it from again.
std::string page_figure(const std::string& svg, std::string_view words, const std::string& data = {});

std::string paragraph(std::string_view text, std::string_view style = {});

/// "met", "not-met", "too-close": classes of `verdict_mark`.
std::string_view verdict_style(studies::Verdict verdict);
/// Mark and word.
std::string verdict_badge(studies::Verdict verdict);
std::string badge(std::string_view style, std::string_view word);

/// A kind of number and the unit that the page shows it in.
struct Shown {
  units::Quantity kind = units::Quantity::number;
  std::string unit;
};
/// The engineer's unit; kPa where pressures are large.
Shown shown_as(units::Quantity kind, double largest = 0);
/// The unit that the model itself writes the limit in.
Shown shown_as(const model::Requirement& requirement);
/// The same for differences: of temperatures K.
Shown difference_of(const Shown& shown);

/// From SI into the unit shown.
double in_unit(double value, const Shown& shown);
/// "1.32", "1240", "1.5e-9": three digits, without an exponent where a person would write none.
std::string number_words(double value);
/// "1.32 kg/s", at most so many digits.
std::string value_text(double value, const Shown& shown, int digits = 3);
/// "1.317 +- 0.065 kg/s"; no band where sigma is 0.
std::string band_text(double value, double sigma, const Shown& shown);
/// "+0.05 kg/s".
std::string signed_text(double difference, const Shown& shown);
/// ">= 2.5 bar".
std::string limit_words(const model::Requirement& requirement);
/// "radiator.flow, kg/s".
std::string axis_title(std::string_view what, const Shown& shown);

/// All that a section may ask for.
struct PageSource {
  const model::Model& model;
  const studies::Study& study;
  const PageContent& content;
  const studies::PointResult* hardest = nullptr;  ///< the hardest point that has a solution, or null
};

/// The solved point that governs what is required of an owner of quantities (a core or its loop), else the
/// hardest; null where none has a solution.
const studies::PointResult* governing_point(const PageSource& source, std::string_view owner);

// The sections, without their headings; empty where the model has nothing of the kind.
std::string verdict_section(const PageSource& source);
std::string requirements_section(const PageSource& source);
std::string ranking_section(const PageSource& source);
std::string network_section(const PageSource& source);
std::string budget_section(const PageSource& source);
std::string speed_section(const PageSource& source);
std::string envelope_section(const PageSource& source);
std::string uncertainty_section(const PageSource& source);
std::string margins_section(const PageSource& source);
std::string advice_section(const PageSource& source);
std::string sections_section(const PageSource& source);
std::string assumptions_section(const PageSource& source);
std::string warnings_section(const PageSource& source);
std::string power_section(const PageSource& source);
std::string cautions_section(const PageSource& source);

/// Looks on a screen and on paper.
std::string_view page_style();

}  // namespace corefeed::reports
