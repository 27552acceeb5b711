// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/bound_hash.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "corefeed/model/sha1.hpp"
#include "tests/model/small_model.hpp"

namespace corefeed::model {
namespace {

using testing::changed;
using testing::sound;

// FIPS 180-4's own examples, as printed by NIST (SHA1.pdf of its example values), recalled.
TEST(Sha1, IsThatOfTheStandard) {
  EXPECT_EQ(sha1_of("abc"), "a9993e364706816aba3e25717850c26c9cd0d89d");
  EXPECT_EQ(sha1_of(""), "da39a3ee5e6b4b0d3255bfef95601890afd80709");
}

TEST(Sha1, TakesItsTextInPieces) {
  Sha1 hash;
  hash.add("a");
  EXPECT_EQ(hash.hex(), sha1_of("a"));
  hash.add("bc");
  EXPECT_EQ(hash.hex(), sha1_of("abc"));
}

TEST(BoundHash, FollowsTheText) {
  EXPECT_EQ(bound_hash(sound()), bound_hash(sound()));
  EXPECT_NE(bound_hash(sound()), bound_hash(sound(changed("500 cm2", "501 cm2"))));
}

/// What CAD measures is not in the text.
TEST(BoundHash, FollowsWhatWasMeasured) {
  const std::string text =
      changed(R"("area": "500 cm2")", R"("geometry": {"file": "car.step", "cutout": "slot"})");
  const auto measured = [&text](double area) {
    return sound(text, testing::measuring([area](const Element&) -> Result<MeasuredElement> {
                   MeasuredElement found;
                   found.numbers.emplace_back("area", area);
                   return found;
                 }));
  };
  EXPECT_EQ(measured(0.05).hash, measured(0.06).hash);
  EXPECT_EQ(bound_hash(measured(0.05)), bound_hash(measured(0.05)));
  EXPECT_NE(bound_hash(measured(0.05)), bound_hash(measured(0.06)));
}

TEST(BoundHash, FollowsTheTablesThatTheModelNames) {
  const auto folder =
      std::filesystem::temp_directory_path() / ("corefeed_hash_" + std::to_string(::getpid()));
  std::filesystem::create_directories(folder);
  const auto hash = [&folder](const std::string& points, const std::string& pressures) {
    std::ofstream(folder / "points.csv") << points;
    std::ofstream(folder / "cp.csv") << pressures;
    const std::string text =
        changed(R"("points": [
    {"name": "fast", "speed": "180 km/h"}
  ],)",
                R"("points": {"table": "points.csv"}, "surface_pressure": {"table": "cp.csv"},)");
    const auto model = parse_model(text, "car.json", folder.string());
    EXPECT_TRUE(model.ok()) << (model.ok() ? "" : describe(model.issues().front()));
    return model ? bound_hash(model.value()) : std::string();
  };
  const std::string first = hash("name,speed [km/h]\nfast,180\n", "opening,cp\noutlet,-0.4\n");
  EXPECT_EQ(first, hash("name,speed [km/h]\nfast,180\n", "opening,cp\noutlet,-0.4\n"));
  EXPECT_NE(first, hash("name,speed [km/h]\nfast,181\n", "opening,cp\noutlet,-0.4\n"));
  EXPECT_NE(first, hash("name,speed [km/h]\nfast,180\n", "opening,cp\noutlet,-0.5\n"));
  std::filesystem::remove_all(folder);
}

}  // namespace
}  // namespace corefeed::model
