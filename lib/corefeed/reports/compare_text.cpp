// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "corefeed/reports/compare_words.hpp"
#include "corefeed/reports/text.hpp"
#include "corefeed/reports/text_parts.hpp"

namespace corefeed::reports {
namespace {

using studies::Alternative;
using studies::ComparedBudget;
using studies::ComparedPoint;
using studies::Comparison;

using Row = std::vector<std::string>;

/// Wrapped text behind a lead of its own, which counts as columns.
std::string paragraph(std::string_view lead, std::string_view text, std::string_view indent) {
  std::string whole = wrapped(std::string(lead.size(), '.') + std::string(text), indent);
  return whole.replace(0, lead.size(), lead) + "\n";
}

/// Speed, and which alternatives have no solution here and why.
std::string head_of_point(const std::vector<Alternative>& alternatives, const Comparison& comparison,
                          const ComparedPoint& point) {
  std::string text = point.name;
  for (const model::Point& one : alternatives.front().model.points) {
    if (one.name == point.name) text += ": " + units::show(one.speed, units::Quantity::speed, 3);
  }
  text += "\n";
  for (std::size_t a = 0; a < alternatives.size(); ++a) {
    for (const studies::PointResult& result : comparison.studies[a].points) {
      if (result.name != point.name || result.solution.converged) continue;
      text += paragraph(
          "  ", fmt::format("{} has no solution here: {}", comparison.names[a], result.solution.explanation),
          "    ");
    }
  }
  return text;
}

std::string highlights_text(const Comparison& comparison, const ComparedPoint& point) {
  std::string text;
  for (std::size_t a = 1; a < comparison.names.size(); ++a) {
    const std::string sentence = highlights_sentence(comparison, point, a);
    if (!sentence.empty()) text += paragraph("  ", sentence, "    ");
  }
  return text.empty() ? "" : text + "\n";
}

std::string point_text(const std::vector<Alternative>& alternatives, const Comparison& comparison,
                       const ComparedPoint& point) {
  std::string text = head_of_point(alternatives, comparison, point);
  text += quantity_table(alternatives, comparison, point) + highlights_text(comparison, point);
  for (const ComparedBudget& budget : point.budgets) text += budget_table(comparison, budget);
  return text;
}

std::string ranking_text(const Comparison& comparison, const studies::Ranking& ranking) {
  std::string text =
      ranking.requirement.empty()
          ? fmt::format("  {}, hottest point, lowest first\n", ranking.quantity)
          : fmt::format("  {} ({}), most margin first\n", ranking.requirement, ranking.quantity);
  std::vector<Row> rows;
  for (std::size_t i = 0; i < ranking.places.size(); ++i) {
    const studies::Ranked& place = ranking.places[i];
    const bool tied = i > 0 && place.rank == ranking.places[i - 1].rank;
    rows.push_back(
        {fmt::format("{}.", place.rank), shortened(comparison.names[place.alternative], widest_name + 4),
         with_band(place.value, place.sigma, ranking.kind), shortened(place.point, widest_name - 4),
         fmt::format("{}{}{}", place.verdict ? studies::verdict_name(*place.verdict) : "",
                     tied && place.verdict ? ", " : "", tied ? "tied" : "")});
  }
  return text + table(rows, "    ");
}

std::string rankings_text(const Comparison& comparison) {
  std::string text;
  for (const studies::Ranking& ranking : comparison.rankings) text += ranking_text(comparison, ranking);
  for (std::size_t a = 0; a < comparison.names.size(); ++a) {
    if (comparison.studies[a].status == Status::no_solution)
      text += fmt::format("  not ranked, a point has no solution: {}\n", comparison.names[a]);
  }
  return text.empty() ? "" : "ranking (tied: closer than the band of their difference)\n" + text + "\n";
}

/// A warning without its numbers: the same thing in another alternative reads the same.
std::string gist(const std::string& text) {
  std::string kept;
  for (const char c : text)
    if (c != '.' && (c < '0' || c > '9')) kept += c;
  return kept;
}

/// Warnings of the comparison, of the first alternative, and what the others add to them.
std::string warnings_text(const Comparison& comparison) {
  std::string text;
  std::set<std::string> told;
  const auto add = [&](const Issue& issue, const std::string& where, const std::string& point = "") {
    if (!told.insert(point + "\n" + (point.empty() ? issue.text : gist(issue.text))).second) return;
    const std::string_view what = issue.severity == Severity::note ? "note" : "warning";
    text += wrapped(where.empty() ? fmt::format("{}: {}", what, issue.text)
                                  : fmt::format("{} ({}): {}", what, where, issue.text),
                    "  ") +
            "\n";
  };
  for (const Issue& issue : comparison.warnings) add(issue, "");
  for (std::size_t a = 0; a < comparison.names.size(); ++a) {
    for (const Issue& issue : comparison.studies[a].warnings) add(issue, comparison.names[a]);
    for (const studies::PointResult& point : comparison.studies[a].points) {
      for (const Issue& issue : point.warnings)
        add(issue, fmt::format("{}, {}", comparison.names[a], point.name), point.name);
    }
  }
  return text.empty() ? "" : text + "\n";
}

/// Those of all alternatives: one may have the fan that another lacks.
std::string cautions_text(const std::vector<Alternative>& alternatives) {
  std::vector<std::string> lines;
  for (const Alternative& alternative : alternatives) {
    for (std::string& one : cautions(alternative.model)) {
      if (std::find(lines.begin(), lines.end(), one) == lines.end()) lines.push_back(std::move(one));
    }
  }
  std::string text = "cautions\n";
  for (const std::string& one : lines) text += paragraph("  - ", one, "    ");
  return text;
}

}  // namespace

std::string compare_text(const std::vector<Alternative>& alternatives, const Comparison& comparison) {
  const model::Model& first = alternatives.front().model;
  std::string text = (first.title.empty() ? first.file : first.title) + "\n";
  const std::vector<std::string> others(comparison.names.begin() + 1, comparison.names.end());
  text +=
      wrapped(fmt::format("{} against {}: behind each value its difference to {}, in parentheses where it "
                          "is smaller than its own band",
                          fmt::join(others, ", "), comparison.names.front(), comparison.names.front()),
              "  ") +
      "\n\n";
  for (const ComparedPoint& point : comparison.points) text += point_text(alternatives, comparison, point);
  return text + rankings_text(comparison) + warnings_text(comparison) + cautions_text(alternatives);
}

}  // namespace corefeed::reports
