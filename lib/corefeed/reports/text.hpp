// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "corefeed/studies/compare.hpp"
#include "corefeed/studies/lap.hpp"
#include "corefeed/studies/outlook.hpp"
#include "corefeed/studies/size.hpp"
#include "corefeed/studies/study.hpp"

/// Pages for a terminal: plain text in engineer's units, readable in ten seconds.
namespace corefeed::reports {

/// Every element, node and loop at every point; no verdict.
std::string solve_text(const model::Model& model, const studies::Study& study);

/// Cores, loops and requirements; for what falls short, why and what would cure it; what may still get worse;
/// the verdict and the cautions. Of more than five points those that decide are shown, and all of them
/// ranked.
std::string check_text(const model::Model& model, const studies::Study& study,
                       const studies::Outlook& outlook);

/// The size, its band, what limits it where it is out of reach.
std::string size_text(const model::Model& model, const studies::SizeQuestion& question,
                      const studies::Size& size);

/// Alternatives in columns, three beside the first: per point what matters and each core's loss budget, with
/// the difference to the first; the largest differences in words; then the rankings. At most 100 columns.
std::string compare_text(const std::vector<studies::Alternative>& alternatives,
                         const studies::Comparison& comparison);

/// Per loop the peak with its place, the time above the limit, the mean and the energies; fans, thermostats,
/// requirements and cautions. A lap without an answer shows no temperature.
std::string lap_text(const model::Model& model, const studies::LapStudy& study);

/// The temperatures over time as a table: time, lap, speed, and per loop its temperature and, with a
/// thermostat, the share of its flow through the cores; per switched fan its state. Without rows where there
/// is no answer.
std::string lap_csv(const model::Model& model, const studies::LapStudy& study);

/// The cautions that apply to what the model contains.
std::vector<std::string> cautions(const model::Model& model);

}  // namespace corefeed::reports
