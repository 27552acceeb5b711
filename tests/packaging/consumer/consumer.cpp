// SPDX-License-Identifier: Apache-2.0
#include <cstdio>

#include "corefeed/studies/study.hpp"

/// `consumer MODEL`: a program of somebody who builds on corefeed.
int main(int argc, char** argv) {
  if (argc != 2) return 2;
  const auto model = corefeed::model::read_model(argv[1]);
  if (!model) return 3;
  const auto study = corefeed::studies::run_study(model.value());
  if (!study) return 4;
  std::printf("%.17g\n", study.value().points.front().solution.value("radiator.flow").value_or(0));
  return 0;
}
