// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>

#include "corefeed/reports/page_parts.hpp"
#include "corefeed/reports/text_parts.hpp"
#include "corefeed/reports/verdict_words.hpp"

namespace corefeed::reports {
namespace {

using studies::JudgedRequirement;
using studies::Judgment;
using studies::PointRank;
using studies::PointResult;

std::string_view style_of(Outcome outcome) {
  switch (outcome) {
    case Outcome::met:
      return "met";
    case Outcome::too_close:
      return "too-close";
    case Outcome::not_met:
      return "not-met";
    case Outcome::no_solution:
    case Outcome::nothing_asked:
      break;
  }
  return "unsolved";
}

std::string name_of(const model::Requirement& requirement) {
  return fmt::format("{}<br/><span class=\"what\">{}</span>", markup_text(requirement.name),
                     markup_text(requirement.quantity));
}

PageRow worst_row(const PageSource& source, const JudgedRequirement& judged) {
  const model::Requirement& requirement = source.model.requirements[judged.index];
  if (judged.judgments.empty()) {
    return {html_cell(name_of(requirement)),
            html_cell(
                badge("unsolved", source.hardest == nullptr ? "no solution" : "not judged at these points")),
            cell(""),
            number_cell(""),
            number_cell(limit_words(requirement)),
            number_cell("")};
  }
  const Judgment& worst = judged.judgments[judged.worst];
  std::string verdict = verdict_badge(worst.verdict);
  if (judged.fails && worst.verdict == studies::Verdict::too_close)
    verdict += "<br/><span class=\"what\">counts as not met</span>";
  return {html_cell(name_of(requirement)),
          html_cell(verdict),
          cell(worst.point),
          number_cell(band_text(worst.value, worst.sigma, shown_as(requirement))),
          number_cell(limit_words(requirement)),
          number_cell(signed_text(worst.margin, shown_as(requirement)))};
}

/// Every requirement at every point, where these are few.
std::string by_point_table(const PageSource& source) {
  const std::size_t count = source.study.points.size();
  if (count < 2 || count > few_points) return {};
  std::vector<std::string> heads{"requirement"};
  for (const PointResult& point : source.study.points) heads.push_back(point.name);
  std::vector<PageRow> rows;
  for (const JudgedRequirement& judged : source.study.requirements) {
    const model::Requirement& requirement = source.model.requirements[judged.index];
    PageRow row{cell(requirement.name)};
    for (const PointResult& point : source.study.points) {
      std::string text = "not asked";
      if (!point.solution.further.empty()) text = badge("unsolved", "several solutions");
      if (!point.solution.converged) text = badge("unsolved", "no solution");
      for (const Judgment& one : judged.judgments) {
        if (one.point != point.name) continue;
        text = markup_text(band_text(one.value, one.sigma, shown_as(requirement))) + "<br/>" +
               verdict_badge(one.verdict);
      }
      row.push_back(html_cell(text));
    }
    rows.push_back(std::move(row));
  }
  return page_table("Every requirement at every point", heads, rows);
}

std::string rank_margin(const PointRank& rank) {
  if (!rank.solved) return "";
  return std::isfinite(rank.sigmas) ? fmt::format("{:+.1f}", rank.sigmas) : "certain";
}

}  // namespace

std::string verdict_section(const PageSource& source) {
  std::string text = fmt::format("<p class=\"outcome {0}\">{1}</p>\n", style_of(outcome_of(source.study)),
                                 badge(style_of(outcome_of(source.study)), outcome_words(source.study)));
  for (const PointResult& point : source.study.points) {
    if (point.solution.converged && point.solution.further.empty()) continue;
    text += paragraph(fmt::format("{}: {}.", point.name, point.solution.explanation), "trouble");
  }
  return text;
}

std::string requirements_section(const PageSource& source) {
  std::vector<PageRow> rows;
  for (const JudgedRequirement& judged : source.study.requirements) rows.push_back(worst_row(source, judged));
  if (rows.empty()) return {};
  return page_table("Each requirement at its worst point; the band is one sigma",
                    {"requirement", "verdict", "worst point", "value", "limit", "margin"}, rows) +
         by_point_table(source);
}

std::string ranking_section(const PageSource& source) {
  if (source.study.points.size() <= few_points) return {};
  std::vector<PageRow> rows;
  for (const PointRank& rank : source.content.outlook.ranking) {
    const bool named = rank.solved && rank.requirement < source.model.requirements.size();
    rows.push_back(
        {cell(rank.point), cell(named ? source.model.requirements[rank.requirement].name : ""),
         number_cell(rank_margin(rank)),
         html_cell(rank.solved ? verdict_badge(rank.verdict) : badge("unsolved", "no one solution"))});
  }
  return page_table("Points by how hard they are, hardest first",
                    {"point", "what decides", "margin in sigmas", "verdict"}, rows);
}

}  // namespace corefeed::reports
