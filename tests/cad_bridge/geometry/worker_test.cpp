// SPDX-License-Identifier: Apache-2.0
#include <fcntl.h>
#include <gtest/gtest.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>
#include <BRepPrimAPI_MakeBox.hxx>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "cad_bridge/geometry/measure.hpp"
#include "cad_bridge/geometry/worker_protocol.hpp"
#include "nlohmann/json.hpp"
#include "tests/cad_bridge/geometry/step_text.hpp"

namespace corefeed::geometry {
namespace {

using nlohmann::json;

const std::string worker = COREFEED_BINARY_DIR "/bin/corefeed-worker";

std::string box_duct() {
  testing::StepText step;
  step.product("nose_duct", BRepPrimAPI_MakeBox(300, 120, 80).Shape());
  return step.text();
}

struct Answer {
  int status = -1;    ///< exit status
  std::string bytes;  ///< all of standard output
};

/// Standard error is this program's own, or the named file.
Answer run_worker(const std::string& request, const std::string& step, const std::string& complaints = "") {
  const auto path = std::filesystem::temp_directory_path() / ("worker_test_" + std::to_string(getpid()));
  std::ofstream(path, std::ios::binary) << step;
  int ends[2];
  EXPECT_EQ(pipe(ends), 0);
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, path.c_str(), O_RDONLY, 0);
  posix_spawn_file_actions_adddup2(&actions, ends[1], STDOUT_FILENO);
  posix_spawn_file_actions_addclose(&actions, ends[0]);
  if (!complaints.empty())
    posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, complaints.c_str(), O_WRONLY | O_CREAT, 0600);
  std::string name = worker;
  std::string argument = request;
  char* arguments[] = {name.data(), argument.data(), nullptr};
  pid_t child = 0;
#ifdef COREFEED_SANITIZED
  // The search for leaks needs a call that the process has given up.
  setenv("ASAN_OPTIONS", "detect_leaks=0", 1);
#endif
  EXPECT_EQ(posix_spawn(&child, worker.c_str(), &actions, nullptr, arguments, environ), 0) << worker;
  posix_spawn_file_actions_destroy(&actions);
  close(ends[1]);
  Answer answer;
  char buffer[4096];
  for (ssize_t n = 0; (n = read(ends[0], buffer, sizeof buffer)) > 0;) {
    answer.bytes.append(buffer, static_cast<std::size_t>(n));
  }
  close(ends[0]);
  int status = 0;
  waitpid(child, &status, 0);
  answer.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  std::filesystem::remove(path);
  return answer;
}

/// The reply's JSON, after a check of the header line against the length of what follows.
json body_of(const Answer& answer) {
  const auto end_of_line = answer.bytes.find('\n');
  if (end_of_line == std::string::npos) return json();
  const std::string body = answer.bytes.substr(end_of_line + 1);
  EXPECT_EQ(answer.bytes.substr(0, end_of_line), "corefeed-reply 1 " + std::to_string(body.size()));
  return json::parse(body);
}

const std::string request = R"({"part":null,"sections":5,"at":[0.25],"assume_unit":null,"file":"nose.step"})";

TEST(Worker, RepliesWithTheMeasurement) {
  const Answer answer = run_worker(request, box_duct());
  EXPECT_EQ(answer.status, 0);
  const json reply = body_of(answer);
  EXPECT_EQ(reply.at("status"), 0);
  EXPECT_EQ(reply.at("issues"), json::array());
  EXPECT_EQ(reply.at("measurement").at("file"), "nose.step");
  EXPECT_EQ(reply.at("measurement").at("parts").at(0).at("name"), "nose_duct");
}

TEST(Worker, SaysWhatTheLibrarySaysByteForByte) {
  const std::string step = box_duct();
  const Answer answer = run_worker(request, step);
  EXPECT_EQ(answer.bytes, run_worker(request, step).bytes);
  std::istringstream stream(step);
  EXPECT_EQ(answer.bytes, write_reply(measure_step_whole(stream, *parse_request(request))));
}

// The kernel reports syntax errors on standard output; none of it may reach the reply.
TEST(Worker, KernelTalkStaysOutOfTheReply) {
  for (const std::string& step : {std::string(), std::string("hello\n"), box_duct().substr(0, 2000)}) {
    const Answer answer = run_worker(request, step);
    EXPECT_EQ(answer.status, 0);
    EXPECT_EQ(answer.bytes.rfind("corefeed-reply 1 ", 0), 0u) << answer.bytes;
    const json reply = body_of(answer);
    EXPECT_EQ(reply.at("status"), 5);
    EXPECT_TRUE(reply.at("measurement").is_null());
    EXPECT_EQ(reply.at("issues").at(0).at("code"), "not_step");
    EXPECT_EQ(reply.at("issues").at(0).at("severity"), "error");
  }
}

TEST(Worker, UnknownPartIsAnIssue) {
  const json reply = body_of(run_worker(R"({"part":"tail_duct"})", box_duct()));
  EXPECT_EQ(reply.at("status"), 5);
  EXPECT_EQ(reply.at("issues").at(0).at("code"), "unknown_part");
  EXPECT_NE(reply.at("issues").at(0).at("text").get<std::string>().find("nose_duct"), std::string::npos);
}

TEST(Worker, BadRequestEndsWithTwoAndNoReply) {
  const Answer answer = run_worker("sections=5", box_duct());
  EXPECT_EQ(answer.status, 2);
  EXPECT_TRUE(answer.bytes.empty());
}

/// Writing into a file is forbidden to it; a try must not end it by a signal (SIGXFSZ).
TEST(Worker, BadRequestEndsWithTwoAlsoWhereStandardErrorIsAFile) {
  const auto file =
      std::filesystem::temp_directory_path() / ("worker_test_error_" + std::to_string(getpid()));
  const Answer answer = run_worker("sections=5", box_duct(), file.string());
  EXPECT_EQ(answer.status, 2);
  EXPECT_EQ(std::filesystem::file_size(file), 0u);
  std::filesystem::remove(file);
}

TEST(WorkerRequest, IsCheckedKeyByKey) {
  EXPECT_TRUE(parse_request("{}"));
  EXPECT_EQ(parse_request("{}")->sections, 50);
  const auto full =
      parse_request(R"({"part":"a","sections":7,"at":[0,0.5,1],"assume_unit":"mm","file":"f"})");
  ASSERT_TRUE(full);
  EXPECT_EQ(full->part, "a");
  EXPECT_EQ(full->sections, 7);
  EXPECT_EQ(full->at, (std::vector<double>{0, 0.5, 1}));
  EXPECT_EQ(full->assume_unit, "mm");
  EXPECT_EQ(full->file, "f");
  for (const char* bad :
       {"", "[]", R"({"part":1})", R"({"sections":1})", R"({"sections":2.5})", R"({"sections":100000000})",
        R"({"shapes":{}})", R"({"shapes":[{"name":"a"}]})", R"({"shapes":[{"name":"a","bytes":-1}]})",
        R"({"at":[1.5]})", R"({"at":0.5})", R"({"at":["x"]})", R"({"assume_unit":3})", R"({"file":null)"}) {
    EXPECT_FALSE(parse_request(bad)) << bad;
  }
}

TEST(WorkerReply, CarriesEveryIssue) {
  const std::vector<Issue> issues{{"first", Severity::error, Status::geometry, {}, "it's \"odd\""},
                                  {"second", Severity::warning, Status::geometry, {}, "\xff"}};
  const std::string reply = write_reply(Result<Measured>(issues));
  const json body = json::parse(reply.substr(reply.find('\n') + 1));
  ASSERT_EQ(body.at("issues").size(), 2u);
  EXPECT_EQ(body.at("issues").at(0).at("text"), "it's \"odd\"");
  EXPECT_EQ(body.at("issues").at(1).at("severity"), "warning");
}

}  // namespace
}  // namespace corefeed::geometry
