// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/page_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "corefeed/reports/charts.hpp"
#include "corefeed/reports/text_parts.hpp"

namespace corefeed::reports {
namespace {

using units::Quantity;

/// A wide table or picture moves in its own frame, never the page; keys reach it.
std::string frame(std::string_view name, const std::string& content) {
  return fmt::format("<div class=\"frame\" role=\"region\" tabindex=\"0\" aria-label=\"{}\">\n{}</div>\n",
                     markup_text(name), content);
}

/// The picture's own name.
std::string_view name_of(std::string_view svg) {
  constexpr std::string_view begin = "<title>";
  const std::size_t from = svg.find(begin);
  if (from == std::string_view::npos) return "picture";
  svg.remove_prefix(from + begin.size());
  return svg.substr(0, svg.find('<'));
}

}  // namespace

PageCell cell(std::string_view text) { return {markup_text(text), false}; }
PageCell number_cell(std::string_view text) { return {markup_text(text), true}; }
PageCell html_cell(std::string html) { return {std::move(html), false}; }

std::string page_table(std::string_view caption, const std::vector<std::string>& heads,
                       const std::vector<PageRow>& rows) {
  if (rows.empty()) return {};
  std::string text = fmt::format("<table><caption>{}</caption>\n<thead><tr>", markup_text(caption));
  for (std::size_t i = 0; i < heads.size(); ++i) {
    const bool number = i < rows.front().size() && rows.front()[i].number;
    text += fmt::format("<th scope=\"col\"{}>{}</th>", number ? " class=\"n\"" : "", markup_text(heads[i]));
  }
  text += "</tr></thead>\n<tbody>\n";
  for (const PageRow& row : rows) {
    text += "<tr>";
    for (std::size_t i = 0; i < row.size(); ++i) {
      text += fmt::format("<{0}{1}{2}>{3}</{0}>", i == 0 ? "th" : "td", i == 0 ? " scope=\"row\"" : "",
                          row[i].number ? " class=\"n\"" : "", row[i].html);
    }
    text += "</tr>\n";
  }
  return frame(caption, text + "</tbody></table>\n");
}

std::string page_figure(const std::string& svg, std::string_view words, const std::string& data) {
  if (svg.empty()) return {};
  const std::string script =
      data.empty() ? "" : "<script type=\"application/json\" class=\"chart-data\">" + data + "</script>\n";
  return fmt::format(
      "<figure{}>\n<div class=\"frame\" role=\"region\" tabindex=\"0\" aria-label=\"{}\">\n{}</div>\n"
      "{}<figcaption>{}</figcaption>\n</figure>\n",
      data.empty() ? "" : " class=\"chart\"", name_of(svg), svg, script, markup_text(words));
}

std::string paragraph(std::string_view text, std::string_view style) {
  return style.empty() ? fmt::format("<p>{}</p>\n", markup_text(text))
                       : fmt::format("<p class=\"{}\">{}</p>\n", style, markup_text(text));
}

std::string_view verdict_style(studies::Verdict verdict) {
  switch (verdict) {
    case studies::Verdict::met:
      return "met";
    case studies::Verdict::not_met:
      return "not-met";
    case studies::Verdict::too_close:
      break;
  }
  return "too-close";
}

std::string badge(std::string_view style, std::string_view word) {
  return fmt::format(
      "<span class=\"badge {}\"><svg viewBox=\"0 0 12 12\" width=\"12\" height=\"12\" "
      "aria-hidden=\"true\" focusable=\"false\">{}</svg> {}</span>",
      style, verdict_mark(style, 0, 0, 12), markup_text(word));
}

std::string verdict_badge(studies::Verdict verdict) {
  return badge(verdict_style(verdict), studies::verdict_name(verdict));
}

Shown shown_as(Quantity kind, double largest) {
  const bool pressure = kind == Quantity::pressure_gauge || kind == Quantity::pressure_difference;
  constexpr double many_pascals = 1e4;
  if (pressure && std::abs(largest) >= many_pascals) return {kind, "kPa"};
  return {kind, kind == Quantity::number ? "" : std::string(units::info(kind).display)};
}

Shown shown_as(const model::Requirement& requirement) {
  const std::string_view unit = std::string_view(requirement.unit).substr(0, requirement.unit.find(" gauge"));
  if (unit.empty()) return shown_as(requirement.kind, requirement.limit);
  return {requirement.kind, std::string(unit)};
}

Shown difference_of(const Shown& shown) {
  if (shown.kind != Quantity::temperature) return shown;
  return {Quantity::temperature_difference, "K"};
}

double in_unit(double value, const Shown& shown) {
  return shown.kind == Quantity::number ? value : units::convert(value, shown.kind, shown.unit);
}

std::string number_words(double value) { return units::write(value, Quantity::number, "", 3); }

std::string value_text(double value, const Shown& shown, int digits) {
  return shown.kind == Quantity::number ? fmt::format("{:.{}g}", value, digits)
                                        : units::write(value, shown.kind, shown.unit, digits);
}

std::string band_text(double value, double sigma, const Shown& shown) {
  return with_band(value, sigma, shown.kind, shown.unit);
}

std::string signed_text(double difference, const Shown& shown) {
  const Shown as = difference_of(shown);
  const double value = in_unit(difference, as);
  const std::string text = (std::signbit(value) ? "" : "+") + number_words(value);
  return as.unit.empty() ? text : text + " " + as.unit;
}

std::string limit_words(const model::Requirement& requirement) {
  return fmt::format(
      "{} {}", requirement.at_least ? ">=" : "<=", value_text(requirement.limit, shown_as(requirement), 4));
}

std::string axis_title(std::string_view what, const Shown& shown) {
  return shown.unit.empty() ? std::string(what) : fmt::format("{}, {}", what, shown.unit);
}

const studies::PointResult* governing_point(const PageSource& source, std::string_view owner) {
  std::string_view loop;
  if (const model::Element* element = source.model.find_element(owner)) loop = element->loop;
  const studies::Judgment* worst = nullptr;
  for (const studies::JudgedRequirement& judged : source.study.requirements) {
    const std::string& quantity = source.model.requirements[judged.index].quantity;
    const std::string_view of = std::string_view(quantity).substr(0, quantity.find('.'));
    if (judged.judgments.empty() || (of != owner && (loop.empty() || of != loop))) continue;
    const studies::Judgment& one = judged.judgments[judged.worst];
    if (worst == nullptr || in_sigmas(one) < in_sigmas(*worst)) worst = &one;
  }
  return worst == nullptr ? source.hardest : find_point(source.study, worst->point);
}

}  // namespace corefeed::reports
