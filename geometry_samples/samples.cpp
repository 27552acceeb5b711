// SPDX-License-Identifier: Apache-2.0
#include "geometry_samples/sample.hpp"

namespace corefeed::geometry_samples {

std::vector<Sample> all_samples() {
  std::vector<Sample> samples = plain_samples();
  samples.push_back(rectangular_to_round());
  for (Sample& sample : car_samples()) samples.push_back(std::move(sample));
  for (auto* more : {&free_form_samples, &vent_samples, &curved_panel_samples, &guarded_samples,
                     &core_samples, &wall_samples, &vaned_samples, &branched_samples, &front_end_samples}) {
    for (Sample& sample : more()) samples.push_back(std::move(sample));
  }
  return samples;
}

}  // namespace corefeed::geometry_samples
