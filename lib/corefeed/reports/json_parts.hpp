// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "corefeed/model/document.hpp"
#include "corefeed/studies/outlook.hpp"
#include "corefeed/studies/power.hpp"

/// What the JSON documents are put together from. Private to the room.
namespace corefeed::reports {

using model::Value;
using Members = std::vector<std::pair<std::string, Value>>;

/// A JSON number, or null where it is not finite.
Value number(double value);
Value text(std::string_view words);

/// "corefeed", "units", "model" and "hash", with which every document begins.
Members head_of(const model::Model& model);

/// One operating point of a study.
Value point_json(const model::Model& model, const studies::Study& study, std::size_t index);

/// A requirement as judged at one point, or with nulls where it was not judged.
Members requirement_json(const model::Requirement& requirement, const studies::Judgment* judgment);

/// Code, element and text of a warning.
Value warning_json(const Issue& issue);

/// Spread and sensitivity of the quantities of interest, and what sampling found of them where it was asked
/// for.
void add_uncertainties(const model::Model& model, const studies::PointResult& point, Members& members);

/// Ranking, advice, margins and envelopes of a study.
void add_outlook(const model::Model& model, const studies::Outlook& outlook, Members& members);

/// What moving the air costs at a point.
Value power_json(const studies::PointResult& point);

}  // namespace corefeed::reports
