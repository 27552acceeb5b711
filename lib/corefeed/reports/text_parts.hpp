// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "corefeed/studies/outlook.hpp"

/// What the text pages share. Private to the room.
namespace corefeed::reports {

/// A table with left-aligned columns, two blanks apart; the first row is the head.
std::string table(const std::vector<std::vector<std::string>>& rows, std::string_view indent);

/// A number with its band: "1.317 +- 0.065 kg/s"; no band where sigma is 0. Without a unit: the engineer's.
std::string with_band(double value, double sigma, units::Quantity quantity, std::string_view unit = "");

/// How far a number can be trusted: "read", "computed", "from memory", "closure".
std::string_view tag_word(Tag tag);

/// Points up to so many are shown one by one; more are ranked.
inline constexpr std::size_t few_points = 5;

/// Text broken at blanks to 100 columns; the lines behind the first get the indent.
std::string wrapped(std::string_view text, std::string_view indent);

/// The cautions under their heading.
std::string cautions_text(const model::Model& model);

/// ">= 1.2 kg/s".
std::string limit_text(const model::Requirement& requirement);

/// "fast straight: 180 km/h, converged in 10 steps".
std::string point_head(const model::Model& model, const studies::PointResult& point);

/// Warnings and notes of the model and its points, one line each.
std::string warning_lines(const studies::Study& study);

/// For a requirement that falls short: the loss budget, the leak and what would cure it.
std::string reasons(const model::Model& model, const studies::PointResult& point,
                    const studies::Advice& advice);

/// One lever: what a tenth of it does, and the size that cures, or that it cannot.
std::string lever_text(const model::Requirement& requirement, const studies::Advice& advice,
                       const studies::Lever& lever);

/// Points, the hardest first, with the requirement that decides.
std::string ranking_text(const model::Model& model, const std::vector<studies::PointRank>& ranking);

/// For each trouble what gives way first.
std::string margins_text(const studies::Margins& margins);

/// The worst place of each requirement in each envelope.
std::string envelopes_text(const model::Model& model, const std::vector<studies::Envelope>& envelopes);

}  // namespace corefeed::reports
