// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "corefeed/model/model.hpp"

namespace corefeed::model {

/// MODEL.lock.json: what the openings, cut-outs, faces and gaps of a model looked like when its author last
/// said that they are the right ones. A CAD file that is drawn anew may give the same names to other holes;
/// whoever reads the model hears of it.
std::string lock_path(const std::string& model_file);

/// The lock of a model as it is bound now, as JSON text in SI units.
std::string lock_text(const Model& model);

/// What has changed since the lock, as warnings "geometry_changed" with old and new, "not_locked" and
/// "lock_unused"; the note "no_lock" where the model takes numbers from CAD and has no lock. Areas and
/// lengths count as changed beyond 1e-4 of themselves, places beyond 0.1 mm, directions beyond 0.1 deg. A
/// lock that cannot be read gives errors alone: those of `read_document`, and wrong_format, missing_key,
/// wrong_type with their place.
std::vector<Issue> compare_lock(const Model& model);

}  // namespace corefeed::model
