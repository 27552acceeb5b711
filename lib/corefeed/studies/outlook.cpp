// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/outlook.hpp"

namespace corefeed::studies {

Outlook look_ahead(const model::Model& model, const Study& study, const StudyOptions& options,
                   const OutlookOptions& wanted) {
  Outlook outlook;
  outlook.ranking = hardest_first(study);
  outlook.advice = advise(model, study, options);
  outlook.margins = margins_of(model, options);
  if (wanted.envelope) outlook.envelopes = envelopes(model, {}, options);
  return outlook;
}

}  // namespace corefeed::studies
