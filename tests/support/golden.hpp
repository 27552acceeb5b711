// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <string>

#include "corefeed/model/model.hpp"
#include "corefeed/studies/study.hpp"

/// The invented golden car as a starting point of tests.
namespace corefeed::testing {

inline std::string read_file(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  if (!file) throw std::runtime_error("cannot open " + path);
  return {std::istreambuf_iterator<char>(file), {}};
}

inline nlohmann::ordered_json golden_document() {
  return nlohmann::ordered_json::parse(read_file(COREFEED_SOURCE_DIR "/tests/data/golden-model.json"));
}

inline nlohmann::json golden_result() {
  return nlohmann::json::parse(read_file(COREFEED_SOURCE_DIR "/tests/data/golden-result.json"));
}

/// A model that has to be sound; the test fails with the issues otherwise.
inline model::Model read_text(const std::string& text) {
  Result<model::Model> model = model::parse_model(text, "test.json", ".");
  if (!model) throw std::runtime_error(describe(model.issues().front()));
  return std::move(model).value();
}

}  // namespace corefeed::testing
