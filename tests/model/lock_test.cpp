// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/lock.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "tests/model/small_model.hpp"

namespace corefeed::model {
namespace {

constexpr std::string_view vent_area = R"("area": "500 cm2")";
constexpr std::string_view mouth_area = R"("area": "400 cm2", "cp": 0.8)";

Fingerprint opening() { return {"opening gill", 0.05, 0.9, {0.1, 0.2, 0.3}, {1.0, 0.0, 0.0}}; }

class Lock : public ::testing::Test {
 protected:
  void SetUp() override {
    std::string folder = (std::filesystem::temp_directory_path() / "lock_test_XXXXXX").string();
    ASSERT_NE(::mkdtemp(folder.data()), nullptr);
    folder_ = folder;
    file_ = (folder_ / "car.corefeed").string();
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  /// The small model with its vent bound to CAD, where it now looks like this.
  Model bound(const std::vector<Fingerprint>& now,
              const std::string& text =
                  testing::changed(vent_area, R"("geometry": {"file": "a.step", "opening": "gill"})")) const {
    ReadOptions options;
    options.geometry = [&now](const Element&) -> Result<MeasuredElement> {
      return MeasuredElement{{}, {{"area", 0.05}}, now, {}};
    };
    Result<Model> model = parse_model(text, file_, folder_.string(), options);
    EXPECT_TRUE(model.ok()) << describe(model.issues().front());
    return model.ok() ? std::move(model).value() : Model();
  }

  void write_lock(const std::string& text) const { std::ofstream(lock_path(file_)) << text; }

  /// What there is to tell, without the file's name.
  std::vector<std::string> told(const Model& model) const {
    std::vector<std::string> list;
    for (const Issue& issue : compare_lock(model)) {
      EXPECT_TRUE(issue.place.file.starts_with(file_));
      list.push_back(issue.code + " " + issue.place.pointer + ": " + issue.text);
    }
    return list;
  }

  /// What is told of the vent locked as one thing and now another.
  std::string change(const Fingerprint& now) const {
    write_lock(lock_text(bound({opening()})));
    const std::vector<std::string> list = told(bound({now}));
    EXPECT_LE(list.size(), 1u);
    return list.empty() ? "" : list.front();
  }

  std::filesystem::path folder_;
  std::string file_;
};

const std::string changed_vent =
    "geometry_changed /air/elements/outlet/geometry: outlet: opening gill of a.step has changed since the "
    "lock: ";

TEST_F(Lock, SaysNothingOfWhatIsAsItWas) {
  write_lock(lock_text(bound({opening()})));
  EXPECT_EQ(told(bound({opening()})), std::vector<std::string>());
}

TEST_F(Lock, IsAskedForWhereNumbersComeFromCad) {
  EXPECT_EQ(told(bound({opening()})),
            std::vector<std::string>{
                "no_lock : numbers come from CAD and there is no lock; validate --lock writes one, so "
                "that changes of the drawing are told"});
  EXPECT_EQ(told(bound({}, std::string(testing::small_text))), std::vector<std::string>());
}

TEST_F(Lock, TellsOldAndNew) {
  Fingerprint now = opening();
  now.area = 0.048;
  now.perimeter = 0.88;
  EXPECT_EQ(change(now), changed_vent + "area 500 cm2 -> 480 cm2, perimeter 900 mm -> 880 mm");
  now = opening();
  now.center = {0.1, 0.203, 0.304};
  EXPECT_EQ(change(now),
            changed_vent + "center (100.0, 200.0, 300.0) mm -> (100.0, 203.0, 304.0) mm, 5 mm away");
  now = opening();
  now.normal = {0.0, 1.0, 0.0};
  EXPECT_EQ(change(now), changed_vent + "direction turned by 90 deg");
  now.normal = {-1.0, 0.0, 0.0};
  EXPECT_EQ(change(now), changed_vent + "direction turned by 180 deg");
}

TEST_F(Lock, PassesOverWhatNoDrawingIsExactTo) {
  Fingerprint now = opening();
  now.area *= 1.0 + 0.9e-4;  // as the header says: 1e-4 of areas and lengths, 0.1 mm, 0.1 deg
  now.perimeter *= 1.0 - 0.9e-4;
  now.center[2] += 0.09e-3;
  now.normal = {1.0, 1.6e-3, 0.0};
  EXPECT_EQ(change(now), "");
  now = opening();
  now.area *= 1.0 + 1.2e-4;
  EXPECT_NE(change(now), "");
  now = opening();
  now.center[2] += 0.11e-3;
  EXPECT_NE(change(now), "");
  now = opening();
  now.normal = {1.0, 1.9e-3, 0.0};
  EXPECT_NE(change(now), "");
}

TEST_F(Lock, TellsWhatIsNewAndWhatIsGone) {
  Fingerprint other = opening();
  other.of = "opening slot";
  write_lock(lock_text(bound({opening()})));
  EXPECT_EQ(told(bound({other})),
            (std::vector<std::string>{"geometry_changed /air/elements/outlet/geometry: outlet: opening slot "
                                      "of a.step is new since the lock",
                                      "geometry_changed /air/elements/outlet/geometry: outlet: opening gill "
                                      "of a.step stood in the lock and is gone"}));
}

TEST_F(Lock, TellsOfElementsThatStandInOneOfTheTwo) {
  write_lock(lock_text(bound({opening()})));
  EXPECT_EQ(told(bound({}, std::string(testing::small_text))),
            std::vector<std::string>{
                "lock_unused /air/elements: the lock has \"outlet\", which takes no numbers from CAD now"});
  const std::string both =
      testing::changed(vent_area, R"("geometry": {"file": "a.step", "opening": "gill"})");
  const std::string mouth_too =
      testing::changed(mouth_area, R"("geometry": {"file": "a.step", "opening": "mouth"}, "cp": 0.8)", both);
  EXPECT_EQ(told(bound({opening()}, mouth_too)),
            std::vector<std::string>{
                "not_locked /air/elements/mouth: mouth takes numbers from CAD and is not in the lock"});
}

/// A lock that cannot be read is an error with its place, whatever else there would be to tell.
TEST_F(Lock, RefusesWhatIsNoLock) {
  const Model model = bound({opening()});
  const auto refusal = [&](const std::string& text) {
    write_lock(text);
    const std::vector<Issue> issues = compare_lock(model);
    EXPECT_EQ(issues.size(), 1u);
    EXPECT_EQ(issues.front().severity, Severity::error);
    EXPECT_EQ(issues.front().place.file, lock_path(file_));
    return issues.front().code + " " + issues.front().place.pointer + ": " + issues.front().text;
  };
  EXPECT_EQ(refusal("{").substr(0, 8), "syntax :");
  EXPECT_EQ(refusal("[]").substr(0, 12), "wrong_type :");
  const std::string no_lock =
      "wrong_format : this is no lock of version 1; write it anew with validate --lock";
  EXPECT_EQ(refusal("{}"), no_lock);
  EXPECT_EQ(refusal(R"({"corefeed_lock": 2, "elements": {}})"), no_lock);
  EXPECT_NE(refusal(R"({"corefeed_lock": 1})")
                .find("missing_key : the key \"elements\" is missing: what is bound, by element"),
            std::string::npos);
  EXPECT_EQ(refusal(R"({"corefeed_lock": 1, "elements": []})").substr(0, 22), "wrong_type /elements: ");
  EXPECT_EQ(refusal(R"({"corefeed_lock": 1, "elements": {"outlet": {}}})").substr(0, 29),
            "wrong_type /elements/outlet: ");
  EXPECT_EQ(refusal(R"({"corefeed_lock": 1, "elements": {"outlet": [5]}})").substr(0, 31),
            "wrong_type /elements/outlet/0: ");
  const auto print = [&](const std::string& from, const std::string& to) {
    return refusal(testing::changed(
        from, to,
        R"({"corefeed_lock": 1, "elements": {"outlet": [{"of": "a", "area": 1, "perimeter": 1, )"
        R"("center": [0, 0, 0], "normal": [1, 0, 0]}]}})"));
  };
  EXPECT_NE(print(R"("of": "a", )", "")
                .find("missing_key /elements/outlet/0: the key \"of\" is missing: which opening, cut-out, "
                      "face or gap it is"),
            std::string::npos);
  EXPECT_NE(print(R"("area": 1, )", "")
                .find("missing_key /elements/outlet/0: the key \"area\" is missing: a number in SI units"),
            std::string::npos);
  EXPECT_EQ(print("[0, 0, 0]", "[0, 0]"),
            "wrong_type /elements/outlet/0/center: found 2 numbers, expected three");
  EXPECT_EQ(print("[0, 0, 0]", "7").substr(0, 38), "wrong_type /elements/outlet/0/center: ");
  EXPECT_EQ(print("[1, 0, 0]", R"([1, "x", 0])").substr(0, 33), "wrong_type /elements/outlet/0/nor");
}

}  // namespace
}  // namespace corefeed::model
