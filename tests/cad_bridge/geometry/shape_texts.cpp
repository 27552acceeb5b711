// SPDX-License-Identifier: Apache-2.0
#include <BRepTools.hxx>
#include <fstream>
#include <iostream>

#include "cad_bridge/geometry/read_step.hpp"

/// `shape_texts FILE.step FOLDER`: plays a CAD program. Writes each body as BREP text into the folder, 0.brep
/// and on, and its name as a line of standard output.
int main(int argc, char** argv) {
  if (argc != 3) return 2;
  std::ifstream step(argv[1], std::ios::binary);
  const auto file = corefeed::geometry::read_step(step, std::nullopt);
  if (!file) return 5;
  int count = 0;
  for (const auto& body : file.value().bodies) {
    std::ofstream text(std::string(argv[2]) + "/" + std::to_string(count++) + ".brep");
    BRepTools::Write(body.shape, text);
    std::cout << body.name << "\n";
  }
  return 0;
}
