// SPDX-License-Identifier: Apache-2.0
// make_samples OUTPUT_DIR            writes every sample and its truth
// make_samples --verify OUTPUT_DIR   reads them back and compares them with their truth
#include <Standard_Failure.hxx>
#include <exception>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <stdexcept>
#include <string>

#include "geometry_samples/sample.hpp"
#include "geometry_samples/step_file.hpp"
#include "geometry_samples/truth_json.hpp"
#include "geometry_samples/verify.hpp"

namespace {

using namespace corefeed::geometry_samples;

constexpr int deviates = 1;
constexpr int wrong_command_line = 2;
constexpr int failed = 6;

void write_all(const std::string& directory) {
  std::filesystem::create_directories(directory);
  for (const Sample& sample : all_samples()) {
    const std::string stem = directory + "/" + sample.name;
    write_step(sample, stem + ".step");
    std::ofstream file(stem + ".truth.json", std::ios::binary);
    file << truth_json(sample).dump(2) << '\n';
    if (!file.flush()) throw std::runtime_error("the file " + stem + ".truth.json could not be written");
  }
}

std::string text(double number) { return nlohmann::json(number).dump(); }

/// A file that cannot be compared at all is a fault like any other and does not stop the rest.
Verdict verdict_on(const std::string& directory, const Sample& sample) {
  const std::string& name = sample.name;
  try {
    return verify(directory, sample);
  } catch (const Standard_Failure& failure) {
    return {0.0, 0.0, 0.0, {name + ": the geometry kernel failed: " + failure.GetMessageString()}};
  } catch (const std::exception& failure) {
    return {0.0, 0.0, 0.0, {name + ": " + failure.what()}};
  }
}

int verify_all(const std::string& directory) {
  int status = 0;
  for (const Sample& sample : all_samples()) {
    const Verdict verdict = verdict_on(directory, sample);
    if (verdict.faults.empty())
      std::cout << sample.name << ": largest relative deviation of the volume " << text(verdict.volume)
                << ", of the openings " << text(verdict.openings) << ", of the sections "
                << text(verdict.sections) << '\n';
    for (const std::string& fault : verdict.faults) std::cerr << fault << ".\n";
    if (!verdict.faults.empty()) status = deviates;
  }
  return status;
}

}  // namespace

int main(int argc, char** argv) {
  const bool verifying = argc == 3 && std::string(argv[1]) == "--verify";
  if (!verifying && argc != 2) {
    std::cerr << "Expected: make_samples [--verify] OUTPUT_DIR.\n";
    return wrong_command_line;
  }
  try {
    if (verifying) return verify_all(argv[2]);
    write_all(argv[1]);
    return 0;
  } catch (const Standard_Failure& failure) {
    std::cerr << "The geometry kernel failed: " << failure.GetMessageString() << ".\n";
  } catch (const std::exception& failure) {
    std::cerr << failure.what() << ".\n";
  }
  return failed;
}
