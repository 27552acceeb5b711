// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/page.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "corefeed/reports/charts.hpp"
#include "corefeed/reports/page_parts.hpp"
#include "corefeed/version.hpp"

namespace corefeed::reports {
namespace {

using units::Quantity;

/// As many points have curves over speed; more lines in one chart cannot be told apart.
constexpr std::size_t most_curves = 4;
constexpr std::size_t speeds_in_a_curve = 24;

struct Section {
  const char* id;
  const char* title;
  std::string (*write)(const PageSource&);
};

/// In the order of the page.
constexpr Section sections[] = {{"requirements", "Requirements", &requirements_section},
                                {"ranking", "Points, hardest first", &ranking_section},
                                {"network", "Network", &network_section},
                                {"budget", "Loss budget", &budget_section},
                                {"speed", "Over speed", &speed_section},
                                {"envelope", "Envelope", &envelope_section},
                                {"uncertainty", "Where the uncertainty comes from", &uncertainty_section},
                                {"margins", "Margins", &margins_section},
                                {"advice", "What would cure it", &advice_section},
                                {"sections", "Sections along the ducts", &sections_section},
                                {"assumptions", "Assumptions", &assumptions_section},
                                {"warnings", "Warnings", &warnings_section},
                                {"power", "Power and drag", &power_section},
                                {"cautions", "Cautions", &cautions_section}};

std::string title_of(const model::Model& model) { return model.title.empty() ? model.file : model.title; }

std::string entry(std::string_view what, std::string_view value) {
  return fmt::format("<div><dt>{}</dt><dd>{}</dd></div>\n", markup_text(what), markup_text(value));
}

/// What stands on a drawing's title block.
std::string plate(const PageSource& source) {
  const model::Model& model = source.model;
  std::vector<std::string> names;
  for (const studies::PointResult& point : source.study.points) names.push_back(point.name);
  std::string text =
      fmt::format("<header class=\"plate\">\n<p class=\"kind\">Cooling check</p>\n<h1>{}</h1>\n<dl>\n",
                  markup_text(title_of(model)));
  text += entry("model", model.file);
  if (!source.content.variant.empty()) text += entry("variant", source.content.variant);
  text +=
      entry("fingerprint", model.hash.substr(0, 12)) + entry("made by", std::string("corefeed ") + version);
  text += entry("outside", fmt::format("{}, {}, {:.0f} % humidity",
                                       units::show(model.temperature, Quantity::temperature, 3),
                                       units::show(model.pressure, Quantity::pressure_absolute, 4),
                                       100 * model.relative_humidity));
  text +=
      entry(names.size() == 1 ? "point" : "points",
            names.size() > 6 ? fmt::format("{}", names.size()) : fmt::format("{}", fmt::join(names, ", ")));
  return text + "</dl>\n</header>\n";
}

const studies::PointResult* hardest_solved(const studies::Study& study, const studies::Outlook& outlook) {
  for (const studies::PointRank& rank : outlook.ranking) {
    if (rank.solved) return find_point(study, rank.point);
  }
  for (const studies::PointResult& point : study.points) {
    if (point.solution.converged) return &point;
  }
  return nullptr;
}

std::string head_of(const model::Model& model, const PageScripts& scripts) {
  // Nothing may be fetched: the page holds all it needs.
  const char* allowed = scripts.name.empty() ? "" : "; script-src 'unsafe-inline'";
  std::string text = fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
      "'unsafe-inline'{}\"/>\n"
      "<title>{}</title>\n<style>\n{}</style>\n",
      allowed, markup_text(title_of(model)), page_style());
  if (!scripts.name.empty()) text += fmt::format("<style>\n{}</style>\n", scripts.style);
  return text + "</head>\n";
}

std::string scripts_text(const PageScripts& scripts) {
  if (scripts.name.empty()) return {};
  return fmt::format("<script>\n/*!\n{}\n{}*/\n{}\n</script>\n", scripts.name, scripts.license,
                     scripts.script);
}

std::string footer(const PageScripts& scripts) {
  std::string text = std::string("Made by corefeed ") + version + ".";
  if (!scripts.name.empty())
    text += fmt::format(" Charts that answer to pointer and keys: {}; its license stands in this file.",
                        scripts.name);
  return "<footer>\n" + paragraph(text) + "</footer>\n";
}

}  // namespace

PageContent page_content(const model::Model& model, const studies::Study& study,
                         const studies::StudyOptions& options, studies::Outlook outlook,
                         const std::string& variant) {
  PageContent content;
  content.options = options;
  content.variant = variant;
  content.outlook = std::move(outlook);
  if (content.outlook.envelopes.empty()) content.outlook.envelopes = studies::envelopes(model, {}, options);
  studies::StudyOptions hardest = options;
  hardest.points.clear();
  for (const studies::PointRank& rank : content.outlook.ranking) {
    if (rank.solved && hardest.points.size() < most_curves) hardest.points.push_back(rank.point);
  }
  for (const studies::PointResult& point : study.points) {
    if (hardest.points.empty() && point.solution.converged) hardest.points.push_back(point.name);
  }
  if (!hardest.points.empty())
    content.curves = studies::speed_curves(model, studies::speeds_around(model, speeds_in_a_curve), hardest);
  return content;
}

std::string report_page(const model::Model& model, const studies::Study& study, const PageContent& content,
                        const PageScripts& scripts) {
  const PageSource source{model, study, content, hardest_solved(study, content.outlook)};
  std::string contents;
  std::string body;
  for (const Section& section : sections) {
    const std::string text = section.write(source);
    if (text.empty()) continue;
    contents += fmt::format("<li><a href=\"#{}\">{}</a></li>\n", section.id, section.title);
    body += fmt::format(
        "<section id=\"{0}\" aria-labelledby=\"{0}-title\">\n<h2 id=\"{0}-title\">{1}</h2>\n{2}</section>\n",
        section.id, section.title, text);
  }
  return head_of(model, scripts) + "<body>\n<a class=\"skip\" href=\"#verdict\">Skip to the verdict</a>\n" +
         chart_patterns() + plate(source) +
         "<main>\n<section id=\"verdict\" aria-labelledby=\"verdict-title\" tabindex=\"-1\">\n<h2 "
         "id=\"verdict-title\">Verdict</h2>\n" +
         verdict_section(source) + "</section>\n<nav aria-label=\"Contents\">\n<ol>\n" + contents +
         "</ol>\n</nav>\n" + body + "</main>\n" + footer(scripts) + scripts_text(scripts) +
         "</body>\n</html>\n";
}

}  // namespace corefeed::reports
