// SPDX-License-Identifier: Apache-2.0
#include "tests/cad_bridge/geometry/broken_files.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <vector>

#include "cad_bridge/worker/measurement.hpp"

/// What a user may give the command instead of a sound STEP file, through to the real measuring program. Each
/// must end with the status of the contract and a message that names what was found, and leave nothing
/// behind.
namespace corefeed::geometry {
namespace {

using nlohmann::json;
using testing::Dice;
using testing::mutated;
using testing::with;

std::string read_file(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

class BrokenFile : public ::testing::Test {
 protected:
  void SetUp() override {
    std::string name = (std::filesystem::temp_directory_path() / "broken-XXXXXX").string();
    ASSERT_NE(mkdtemp(name.data()), nullptr);
    folder = name;
    setenv("COREFEED_WORKER", COREFEED_BINARY_DIR "/bin/corefeed-worker", 1);
    request.sections = 3;
  }

  void TearDown() override {
    EXPECT_EQ(waitpid(-1, nullptr, WNOHANG), -1) << "a process was left";
    EXPECT_LE(std::distance(std::filesystem::directory_iterator(folder), {}), 1) << "a file was left";
    unsetenv("COREFEED_WORKER");
    std::filesystem::remove_all(folder);
  }

  static std::string sample(const std::string& name) {
    return read_file(COREFEED_SOURCE_DIR "/geometry_samples/" + name + ".step");
  }

  Result<worker::Measurement> measured(const std::string& bytes) {
    const std::string path = (folder / "part.step").string();
    std::ofstream(path, std::ios::binary) << bytes;
    return worker::measure_file(path, request, limits);
  }

  /// Status and code of the first issue, "0" for a measurement and "0 CODE .." for one with warnings.
  std::string outcome(const std::string& bytes) { return judged(measured(bytes)); }

  std::string judged(const Result<worker::Measurement>& result) {
    text.clear();
    if (result.ok()) {
      std::string codes = "0";
      for (const worker::MeasureWarning& warning : result.value().warnings) {
        codes += " " + warning.code;
        text += warning.text + "\n";
      }
      return codes;
    }
    const Issue& issue = result.issues().front();
    text = issue.text;
    EXPECT_FALSE(issue.place.file.empty());
    return fmt::format("{} {}", static_cast<int>(issue.status), issue.code);
  }

  bool says(const std::string& words) const { return text.find(words) != std::string::npos; }

  std::filesystem::path folder;
  worker::MeasureRequest request;
  worker::WorkerLimits limits;
  std::string text;
};

TEST_F(BrokenFile, CutAnywhereIsRefusedAndSaysSo) {
  const std::string whole = sample("straight_rectangular");
  const std::size_t end = whole.rfind("END-ISO-10303-21");
  for (std::size_t part = 1; part <= 60; ++part) {
    const std::string found = outcome(whole.substr(0, end * part / 60));
    EXPECT_EQ(found.front(), '5') << part << ": " << found;
    EXPECT_FALSE(text.empty());
  }
}

TEST_F(BrokenFile, WhatIsNoStepIsToldApart) {
  EXPECT_EQ(outcome(""), "5 empty_file");
  EXPECT_TRUE(says("empty")) << text;
  for (const std::string& bytes :
       {std::string("\x7F"
                    "ELF\x02\x01\x01\0\0\0",
                    10),
        std::string("PK\x03\x04\x14\0\0\0", 8), std::string("%PDF-1.4\n"),
        std::string("<!DOCTYPE html><html></html>"), std::string("{\"corefeed\": 1}"),
        std::string("solid part\nfacet normal 0 0 1\n"), std::string("\0\0\0\0", 4),
        std::string("\xFF\xFEI\0S\0O\0", 8)}) {
    EXPECT_EQ(outcome(bytes).front(), '5') << bytes;
    EXPECT_FALSE(text.empty());
  }
}

TEST_F(BrokenFile, FiftyMegabytesOfNoiseTakeAMoment) {
  Dice dice(7);
  std::string noise(50'000'000, ' ');
  for (char& c : noise) c = static_cast<char>(dice.below(256));
  EXPECT_EQ(outcome(noise).front(), '5');
  const std::string head = "ISO-10303-21;\nHEADER;\nFILE_SCHEMA(('AUTOMOTIVE_DESIGN'));\nENDSEC;\nDATA;\n";
  EXPECT_EQ(outcome(head + noise).front(), '5');
}

TEST_F(BrokenFile, WhatIsNoFileIsAWrongInput) {
  const auto at = [this](const std::string& path) {
    return judged(worker::measure_file(path, request, limits));
  };
  EXPECT_EQ(at((folder / "missing.step").string()), "3 missing_file");
  EXPECT_EQ(at(folder.string()), "3 no_regular_file");
  EXPECT_TRUE(says("folder")) << text;
}

TEST_F(BrokenFile, WithoutThePermissionToReadIsUnreadable) {
  const std::string path = (folder / "part.step").string();
  std::ofstream(path) << sample("straight_round");
  std::filesystem::permissions(path, std::filesystem::perms::none);
  std::filesystem::permissions(folder, std::filesystem::perms::all);
  // The administrator may read everything, so that the test steps down for a moment.
  const uid_t before = geteuid();
  ASSERT_EQ(before == 0 ? seteuid(65534) : 0, 0);
  const std::string found = judged(worker::measure_file(path, request, limits));
  ASSERT_EQ(before == 0 ? seteuid(before) : 0, 0);
  EXPECT_EQ(found, "5 unreadable_file");
  EXPECT_TRUE(says("Permission denied")) << text;
}

TEST_F(BrokenFile, LineEndsAndCommentsDoNotMatter) {
  const std::string plain = sample("straight_rectangular");
  const auto whole = measured(plain);
  ASSERT_TRUE(whole.ok());
  std::string carriage = plain;
  std::replace(carriage.begin(), carriage.end(), '\n', '\r');
  std::string both;
  std::string one_line;
  for (const char c : plain) {
    both += c == '\n' ? "\r\n" : std::string(1, c);
    if (c != '\n') one_line += c;
  }
  for (const std::string& step : {carriage, both, one_line, "/* drawn by hand */\n" + plain, "\n\n  " + plain,
                                  with(plain, "DATA;", "DATA;/* #1=CYLINDER(; */"), "\xEF\xBB\xBF" + plain}) {
    const auto found = measured(step);
    ASSERT_TRUE(found.ok()) << found.issues().front().text;
    EXPECT_EQ(found.value().json, whole.value().json);
  }
}

TEST_F(BrokenFile, UnitsThatAreMissingOrWrong) {
  const std::string plain = sample("straight_rectangular");
  const std::string metres = with(plain, "SI_UNIT(.MILLI.,.METRE.)", "SI_UNIT($,.METRE.)");
  ASSERT_NE(metres, plain);
  const std::string found = outcome(metres);
  EXPECT_NE(found.find("unit_plausibility"), std::string::npos) << found;
  EXPECT_TRUE(says("0.005 m to 3 m")) << text;
  const std::size_t list = plain.find("((", plain.find("GLOBAL_UNIT_ASSIGNED_CONTEXT")) + 2;
  std::string none = plain;
  none.erase(list, none.find(',', list) + 1 - list);
  EXPECT_EQ(outcome(none), "5 no_unit");
  EXPECT_TRUE(says("--assume-unit")) << text;
}

TEST_F(BrokenFile, NumbersThatAreNone) {
  const std::string plain = sample("straight_round");
  const std::string point = "CARTESIAN_POINT('',(";
  const std::size_t at = plain.find(point);
  ASSERT_NE(at, std::string::npos);
  const std::size_t from = at + point.size();
  const std::size_t size = plain.find(',', from) - from;
  for (const char* number : {"NAN", "INF", "-INF", "1.E999", "1.E300", "1.E13", "-1.E13", "0x10", "1,5"}) {
    std::string bad = plain;
    bad.replace(from, size, number);
    EXPECT_EQ(outcome(bad).front(), '5') << number;
    EXPECT_FALSE(text.empty());
  }
}

TEST_F(BrokenFile, CirclesAndNestingNeverReachTheKernel) {
  const std::string plain = sample("straight_round");
  const std::string end = "ENDSEC;\nEND-ISO";
  const auto added = [&](const std::string& entities) {
    std::string step = plain;
    return step.insert(step.rfind(end), entities);
  };
  EXPECT_EQ(outcome(added("#90001=ORIENTED_EDGE('',*,*,#90001,.T.);\n")), "5 circular_reference");
  EXPECT_EQ(outcome(added("#90001=A(#90002);\n#90002=B(#90001);\n")), "5 circular_reference");
  EXPECT_TRUE(says("#9000")) << text;
  EXPECT_EQ(
      outcome(added("#90001=A(" + std::string(100'000, '(') + std::string(100'000, ')') + ");\n")).front(),
      '5');
  EXPECT_EQ(outcome(added("#90001=A(#99999);\n")), "5 dangling_reference");
  // Eight levels of ten copies each: 10^8 solids in 15 kB.
  std::string bomb = "#90000=PRODUCT_DEFINITION('','',$,$);\n";
  int next = 90001;
  int inner = 90000;
  for (int level = 0; level < 8; ++level) {
    const int outer = next++;
    bomb += fmt::format("#{}=PRODUCT_DEFINITION('','',$,$);\n", outer);
    for (int copy = 0; copy < 10; ++copy)
      bomb += fmt::format("#{}=NEXT_ASSEMBLY_USAGE_OCCURRENCE('','','',#{},#{},$);\n", next++, outer, inner);
    inner = outer;
  }
  EXPECT_EQ(outcome(added(bomb)), "5 too_many_instances");
}

/// The box without one face, with one corner moved so that its faces cross, and a ball that has no end.
TEST_F(BrokenFile, ShapesThatMakeNoPassage) {
  const std::string plain = sample("straight_rectangular");
  const std::size_t shell = plain.find("CLOSED_SHELL('',(");
  ASSERT_NE(shell, std::string::npos);
  const std::size_t first = shell + std::string("CLOSED_SHELL('',(").size();
  std::string open = plain;
  open.erase(first, open.find(',', first) + 1 - first);
  EXPECT_EQ(outcome(open).front(), '5');
  EXPECT_TRUE(says("open edges")) << text;
  // A corner point is a vertex of three faces: elsewhere they no longer meet and no longer are plane.
  const std::size_t vertex = plain.find("VERTEX_POINT('',");
  ASSERT_NE(vertex, std::string::npos);
  const std::size_t number = plain.find('#', vertex);
  const std::string reference = plain.substr(number, plain.find(')', number) - number);
  const std::size_t point = plain.find("\n" + reference + " = CARTESIAN_POINT");
  ASSERT_NE(point, std::string::npos);
  const std::size_t open_bracket = plain.find("(", plain.find("''", point));
  std::string crossed = plain;
  crossed.replace(open_bracket, plain.find(")", open_bracket) - open_bracket, "(700.,300.,-200.");
  EXPECT_EQ(outcome(crossed).front(), '5') << text;
  EXPECT_FALSE(text.empty());
}

/// With a little less memory than it takes, the measuring program once left out a face or blamed the file.
/// Below the first row the system cannot even load it, and it says so.
TEST_F(BrokenFile, TooLittleMemoryIsTheLimitAndNeverAnotherAnswer) {
#ifdef COREFEED_SANITIZED
  GTEST_SKIP() << "a sanitizer takes terabytes of addresses, and the malloc that is tested here is not in";
#endif
  const std::string plain = sample("nose_duct");
  const auto right = measured(plain);
  ASSERT_TRUE(right.ok());
  int limited = 0;
  bool enough = false;
  for (std::uint64_t megabytes = 60; megabytes <= 400 && !enough; ++megabytes) {
    limits.memory = megabytes << 20;
    const auto found = measured(plain);
    enough = found.ok();
    if (enough) {
      EXPECT_EQ(found.value().json, right.value().json) << megabytes;
      continue;
    }
    const std::string end = judged(found);
    if (end == "7 worker_limit") ++limited;
    const bool not_loaded = end == "5 worker_failed" && says("status 127");
    EXPECT_TRUE(end == "7 worker_limit" || not_loaded) << megabytes << ": " << end << " " << text;
  }
  EXPECT_TRUE(enough);
  EXPECT_GT(limited, 0);
}

/// A fixed draw of planted faults; the program mutated_steps takes as many as one likes.
TEST_F(BrokenFile, PlantedFaultsEndWithAMeasurementOrAMessage) {
  limits.wall_seconds = 3;  // a hang ends with 7 all the same
  for (const char* name : {"straight_round", "straight_rectangular_named", "cone_7deg"}) {
    const std::string plain = sample(name);
    Dice dice(11);
    for (int i = 0; i < 25; ++i) {
      std::string kind;
      const std::string found = outcome(mutated(plain, dice, kind));
      EXPECT_TRUE(found.front() == '0' || found.front() == '5' || found.front() == '7')
          << name << i << kind << found;
    }
  }
}

}  // namespace
}  // namespace corefeed::geometry
