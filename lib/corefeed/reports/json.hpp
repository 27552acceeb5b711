// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "corefeed/studies/compare.hpp"
#include "corefeed/studies/lap.hpp"
#include "corefeed/studies/outlook.hpp"
#include "corefeed/studies/size.hpp"
#include "corefeed/studies/study.hpp"

/// Results as JSON documents: SI units, names as in requirements, no unit suffix in keys. Numbers are written
/// with the fewest digits that read back to the same bits; what is not a number, or not known, is null.
namespace corefeed::reports {

/// Everything a study found: per point the elements, nodes, loops, budget, uncertainty, sensitivity,
/// requirements, warnings and assumptions; the verdict and each requirement with its worst point. Every
/// number of a point that did not converge is null, so that nobody takes the state of its last step for a
/// result. Warnings that concern the model stand in every point. `options` are those of the study. With an
/// outlook also `ranking`, `advice`, `margins` and `envelopes`.
std::string study_json(const model::Model& model, const studies::Study& study,
                       const studies::StudyOptions& options, const studies::Outlook* outlook = nullptr);

/// The answer of a sizing.
std::string size_json(const model::Model& model, const studies::Size& size);

/// A lap or stint: `time`, the temperature of each loop at these times under "LOOP.temperature", `peak`,
/// `time_above`, `cyclic`, means and energies by loop. Numbers of a lap without an answer are null.
std::string lap_json(const model::Model& model, const studies::LapStudy& study);

/// Alternatives side by side: `baseline` with its points as in a study, and `variants`, each with its points
/// and the `difference` of every quantity and loss to the baseline.
std::string compare_json(const std::vector<studies::Alternative>& alternatives,
                         const studies::Comparison& comparison, const studies::StudyOptions& options);

}  // namespace corefeed::reports
