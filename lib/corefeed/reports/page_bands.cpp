// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>

#include "corefeed/reports/charts.hpp"
#include "corefeed/reports/page_parts.hpp"

namespace corefeed::reports {
namespace {

using studies::Influence;
using studies::Margin;
using studies::Trouble;
using units::Quantity;

constexpr double picture_width = 760;
constexpr std::size_t most_bars = 8;

Quantity kind_of(const studies::PointResult& point, const std::string& quantity) {
  for (const cooling::NamedQuantity& one : cooling::quantity_names(point.built.problem)) {
    if (one.name == quantity) return one.quantity;
  }
  return Quantity::number;
}

std::string tornado_figure(const PageSource& source, const std::string& quantity) {
  const studies::PointResult* point = governing_point(source, quantity.substr(0, quantity.find('.')));
  if (point == nullptr) return {};
  const auto value = point->solution.value(quantity);
  const studies::Uncertainty uncertainty = studies::uncertainty_of(source.model, *point, quantity);
  if (!value || !(uncertainty.sigma > 0)) return {};
  const Quantity kind = kind_of(*point, quantity);
  const Shown shown = shown_as(kind, *value);
  Tornado chart;
  chart.axis = axis_title("change of " + quantity, difference_of(shown));
  for (const Influence& influence : uncertainty.influences) {
    if (influence.effect == 0.0 || chart.bars.size() == most_bars) break;
    const double share = influence.effect * influence.effect / (uncertainty.sigma * uncertainty.sigma);
    chart.bars.push_back({influence.parameter, in_unit(influence.effect, difference_of(shown)),
                          fmt::format("{:.0f} % of the variance", 100 * share)});
  }
  const std::string words =
      fmt::format("{} = {} at {}.", quantity, band_text(*value, uncertainty.sigma, shown), point->name);
  chart.caption = {"What the band of " + quantity + " comes from", words};
  return page_figure(tornado(chart, picture_width), words);
}

std::string amount_text(Trouble trouble, double amount) {
  switch (trouble) {
    case Trouble::outlet_pressure:
      return fmt::format("{:+.2f}", amount);
    case Trouble::leak_growth:
      return fmt::format("{:.3g} times", amount);
    case Trouble::clogged_screens:
    case Trouble::dirty_cores:
    case Trouble::traffic:
      break;
  }
  return fmt::format("{:.0f} %", 100 * amount);
}

std::string margin_words(const Margin& margin, bool first) {
  const Trouble trouble = margin.trouble;
  if (margin.from_the_start) return "already so";
  if (margin.amount) {
    const std::string text = markup_text(amount_text(trouble, *margin.amount));
    const std::string at = "<br/><span class=\"what\">" + markup_text(margin.point) + "</span>";
    return first ? "<strong>" + text + "</strong> first" + at : text + at;
  }
  if (margin.lost_beyond)
    return "no steady state beyond " + markup_text(amount_text(trouble, *margin.lost_beyond));
  return "not up to " + markup_text(amount_text(trouble, studies::trouble_most(trouble)));
}

std::string until_words(const Margin& margin) {
  switch (margin.until) {
    case Margin::Until::requirement:
      return margin.name + " fails";
    case Margin::Until::half_flow:
      return margin.name + " has half its air";
    case Margin::Until::reversal:
      break;
  }
  return "a stream turns round";
}

/// Rows of the same wording in all columns, in the order they come.
std::vector<std::string> row_names(const std::vector<Margin>& margins) {
  std::vector<std::string> names;
  for (const Margin& margin : margins) {
    const std::string name = until_words(margin);
    if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
  }
  return names;
}

/// A name as a shell takes it.
std::string shell_word(std::string_view text) {
  std::string word = "'";
  for (const char c : text) word += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return word + "'";
}

/// The limit, or beyond it where it has to be sure.
std::string condition_of(const studies::Advice& advice, const model::Requirement& requirement) {
  if (advice.target == requirement.limit) return "requirement:" + requirement.name;
  return fmt::format("{} {} {}", requirement.quantity,
                     requirement.at_least ? ">=" : "<=", value_text(advice.target, shown_as(requirement), 5));
}

std::string size_command(const PageSource& source, const studies::Lever& lever,
                         const std::string& condition) {
  const std::string variant =
      source.content.variant.empty() ? "" : " --variant " + shell_word(source.content.variant);
  return fmt::format("corefeed size {}{} --vary {} --until {}", shell_word(source.model.file), variant,
                     lever.parameter, shell_word(condition));
}

PageRow lever_row(const studies::Lever& lever, const model::Requirement& requirement) {
  const std::string cure =
      lever.size ? band_text(*lever.size, lever.sigma, shown_as(lever.kind, lever.now))
                 : fmt::format("out of reach: {} at {}", value_text(lever.reaches, shown_as(requirement)),
                               value_text(lever.best, shown_as(lever.kind, lever.now)));
  return {cell(lever.parameter), number_cell(value_text(lever.now, shown_as(lever.kind, lever.now))),
          cell(fmt::format("10 % {}: {}", lever.larger ? "larger" : "smaller",
                           signed_text(lever.ten_percent, shown_as(requirement)))),
          html_cell((lever.size ? "<strong>" + markup_text(cure) + "</strong>" : markup_text(cure)) +
                    (lever.why_not.empty()
                         ? ""
                         : "<br/><span class=\"what\">" + markup_text(lever.why_not) + "</span>"))};
}

}  // namespace

std::string uncertainty_section(const PageSource& source) {
  std::string text;
  for (const std::string& quantity : studies::quantities_of_interest(source.model))
    text += tornado_figure(source, quantity);
  if (text.empty()) return {};
  return paragraph(
             "How far each uncertain number moves the result when it is off by one sigma, largest first. "
             "Full "
             "bars: the number is larger; striped bars: smaller.") +
         text;
}

std::string margins_section(const PageSource& source) {
  const studies::Margins& margins = source.content.outlook.margins;
  // Where nothing holds from the start nothing can get worse.
  if (margins.margins.empty() || source.hardest == nullptr) return {};
  std::vector<std::string> heads{"until"};
  std::vector<Trouble> troubles;
  for (const Margin& margin : margins.margins) {
    if (!troubles.empty() && troubles.back() == margin.trouble) continue;
    troubles.push_back(margin.trouble);
    heads.emplace_back(studies::trouble_name(margin.trouble));
  }
  std::vector<PageRow> rows;
  for (const std::string& name : row_names(margins.margins)) {
    PageRow row{cell(name)};
    for (const Trouble trouble : troubles) {
      const Margin* first = studies::first_of(margins, trouble);
      std::string words;
      for (const Margin& margin : margins.margins) {
        if (margin.trouble == trouble && until_words(margin) == name) {
          words = margin_words(margin, first == &margin);
          if (margin.until == Margin::Until::reversal && margin.amount && !margin.name.empty())
            words += "<br/><span class=\"what\">" + markup_text(margin.name) + "</span>";
        }
      }
      row.push_back(html_cell(words));
    }
    rows.push_back(std::move(row));
  }
  std::string text =
      paragraph(
          "How much worse one thing may get, all else as it is, and at which point it goes wrong first.") +
      page_table("What the car can bear", heads, rows);
  for (const Trouble trouble : margins.without)
    text += paragraph(
        fmt::format("No part of this model is concerned by: {}.", studies::trouble_name(trouble)), "what");
  return text;
}

std::string advice_section(const PageSource& source) {
  std::string text;
  for (const studies::Advice& advice : source.content.outlook.advice) {
    const model::Requirement& requirement = source.model.requirements[advice.requirement];
    std::vector<PageRow> rows;
    std::string commands;
    for (const studies::Lever& lever : advice.levers) {
      rows.push_back(lever_row(lever, requirement));
      commands += markup_text(size_command(source, lever, condition_of(advice, requirement))) + "\n";
    }
    text += fmt::format("<h3>{}</h3>\n", markup_text(fmt::format("{} ({})", requirement.name, advice.point)));
    if (rows.empty()) {
      text += paragraph("Nothing that a shop can change moves it here.");
      continue;
    }
    text +=
        page_table(fmt::format("What would cure: {}", requirement.name),
                   {"change", "now", "effect",
                    advice.target == requirement.limit ? "size that holds it" : "size that makes it sure"},
                   rows) +
        "<pre class=\"commands\" tabindex=\"0\" aria-label=\"Commands to copy\"><code>" + commands +
        "</code></pre>\n";
  }
  return text;
}

}  // namespace corefeed::reports
