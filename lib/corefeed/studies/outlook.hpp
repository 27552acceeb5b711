// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "corefeed/studies/advice.hpp"
#include "corefeed/studies/envelope.hpp"
#include "corefeed/studies/margins.hpp"

/// What a check tells beyond its verdicts.
namespace corefeed::studies {

struct Outlook {
  std::vector<Advice> advice;
  std::vector<PointRank> ranking;  ///< hardest first
  Margins margins;
  std::vector<Envelope> envelopes;  ///< empty unless asked for
};

struct OutlookOptions {
  bool envelope = false;  ///< look over the whole envelope too: a solution for each run of CFD and speed
};

/// Advice and margins are for the points of the study.
Outlook look_ahead(const model::Model& model, const Study& study, const StudyOptions& options = {},
                   const OutlookOptions& wanted = {});

}  // namespace corefeed::studies
