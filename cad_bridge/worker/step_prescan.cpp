// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/step_prescan.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "cad_bridge/worker/step_graph.hpp"
#include "cad_bridge/worker/step_parser.hpp"

namespace corefeed::worker {
namespace {

constexpr std::size_t most_flaws = 20;

std::vector<Issue> to_issues(std::string_view text, const std::vector<Flaw>& flaws) {
  std::vector<Issue> issues;
  for (const Flaw& flaw : flaws) {
    Issue issue;
    issue.code = flaw.code;
    issue.status = Status::geometry;
    issue.place.line = line_of(text, flaw.at);
    issue.text = flaw.text;
    issues.push_back(std::move(issue));
  }
  return issues;
}

/// A file that is no STEP file is told what it looks like.
std::string_view likeness(std::string_view text) {
  if (text.starts_with("PK")) return "a ZIP archive; unpack it first";
  if (text.starts_with("\x1F\x8B")) return "a gzip archive; unpack it first";
  if (text.starts_with("solid ")) return "an STL file";
  if (text.starts_with("<")) return "HTML or XML";
  if (text.starts_with("%PDF")) return "a PDF file";
  if (text.starts_with("DBRep_DrawableShape") || text.starts_with("CASCADE Topology")) return "a BREP file";
  if (text.size() > 80 && text[72] == 'S' && text.substr(73, 7) == "      1") return "an IGES file";
  return {};
}

void check_placements(const ReferenceGraph& graph, const PrescanLimits& limits, PrescanReport& report,
                      std::vector<Flaw>& flaws) {
  const PlacementCount count = count_placements(graph, flaws);
  report.instances = count.instances;
  report.nesting = count.nesting;
  report.chain = count.chain;
  if (count.instances > limits.instances)
    flaws.push_back({"too_many_instances", graph.offsets[count.busiest],
                     fmt::format("the file places {}{} parts; {} are the limit",
                                 count.instances >= 1'000'000'000'000'000 ? "at least " : "", count.instances,
                                 limits.instances)});
  if (count.nesting > limits.nesting)
    flaws.push_back({"nested_too_deeply", graph.offsets[count.deepest],
                     fmt::format("parts are placed within parts {} levels deep; {} are the limit",
                                 count.nesting, limits.nesting)});
  if (count.chain > limits.chain)
    flaws.push_back(
        {"chain_too_long", graph.offsets[count.deepest],
         fmt::format("#{} begins a chain of {} entities that refer to each other; {} are the limit",
                     graph.ids[count.deepest], count.chain, limits.chain)});
}

void note_units(const StepParser& parser, PrescanReport& report) {
  const ReferenceGraph& graph = parser.graph;
  for (std::size_t i = 0; i < graph.size(); ++i) {
    if (graph.kinds[i] != EntityKind::unit_context) continue;
    for (std::uint32_t k = graph.first[i]; k < graph.first[i + 1]; ++k) {
      const auto unit = std::ranges::lower_bound(parser.units, graph.references[k], {},
                                                 &std::pair<std::uint32_t, std::string>::first);
      if (unit == parser.units.end() || unit->first != graph.references[k]) continue;
      if (std::ranges::find(report.length_units, unit->second) == report.length_units.end())
        report.length_units.push_back(unit->second);
    }
  }
}

}  // namespace

Result<PrescanReport> prescan_step(std::string_view text, const PrescanLimits& limits) {
  if (text.empty())
    return to_issues(text, {{"empty_file", 0, "the file is empty; a STEP file was expected"}});
  if (text.size() > std::min<std::size_t>(limits.bytes, 0xFFFFFFFF))
    return to_issues(text.substr(0, 1),
                     {{"file_too_large", 0,
                       fmt::format("the file holds {} bytes; {} are the limit", text.size(), limits.bytes)}});
  StepParser parser(text, limits);
  std::vector<Flaw> flaws = parser.run();
  if (!flaws.empty() && flaws.front().code == "not_step" && !likeness(text).empty())
    flaws.front().text += fmt::format("; the file looks like {}", likeness(text));
  if (!flaws.empty()) return to_issues(text, flaws);
  if (parser.graph.size() == 0)
    return to_issues(text, {{"no_entities", 0, "the DATA section is empty: there is nothing to measure"}});

  PrescanReport report;
  report.schema = parser.schema;
  report.entities = parser.graph.size();
  report.references = parser.graph.references.size();
  flaws = resolve_references(parser.graph, most_flaws);
  if (!flaws.empty()) return to_issues(text, flaws);
  check_placements(parser.graph, limits, report, flaws);
  if (!flaws.empty()) return to_issues(text, flaws);
  note_units(parser, report);
  return report;
}

}  // namespace corefeed::worker
