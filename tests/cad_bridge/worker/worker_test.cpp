// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/worker.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/stat.h>
#include <sys/time.h>
#include <sys/wait.h>

#include <chrono>
#include <iterator>
#include <nlohmann/json.hpp>
#include <thread>

#include "corefeed/interruption.hpp"
#include "tests/cad_bridge/worker/fake_worker.hpp"

namespace corefeed::worker {
namespace {

class Worker : public FakeWorker {
 protected:
  /// Runs and gives the only issue's status and code, "ok" for a measurement.
  std::string outcome() {
    result = run_worker(step, request, limits);
    if (result.ok()) return "ok";
    EXPECT_EQ(result.issues().size(), 1u);
    EXPECT_EQ(result.issues().front().place.file, step);
    text = result.issues().front().text;
    return fmt::format("{} {}", static_cast<int>(result.issues().front().status),
                       result.issues().front().code);
  }

  nlohmann::json measured() {
    EXPECT_EQ(outcome(), "ok") << text;
    return result.ok() ? nlohmann::json::parse(result.value()) : nlohmann::json();
  }

  bool says(const std::string& words) const { return text.find(words) != std::string::npos; }

  Result<std::string> result = std::string();
  std::string text;
  MeasureRequest request;
  WorkerLimits limits;
};

std::ptrdiff_t open_files() {
  return std::distance(std::filesystem::directory_iterator("/proc/self/fd"),
                       std::filesystem::directory_iterator());
}

TEST_F(Worker, hands_over_the_measurement_byte_for_byte) {
  use(R"(reply '{"status":0,"issues":[],"measurement":{"a": 0.10000000000000001,"b":[1,{"measurement":2}]}}')");
  EXPECT_EQ(outcome(), "ok") << text;
  EXPECT_EQ(result.value(), R"({"a": 0.10000000000000001,"b":[1,{"measurement":2}]})");
}

TEST_F(Worker, gets_the_file_as_input_and_the_request_as_argument) {
  use(R"(reply "{\"status\":0,\"issues\":[],\"measurement\":{\"bytes\":$(wc -c),\"request\":$1,\"count\":$#}}")");
  request.part = "nose \"duct\"";
  request.sections = 7;
  request.at = {0.1, 0.25};
  auto got = measured();
  EXPECT_EQ(got["bytes"], point_file.size());
  EXPECT_EQ(got["count"], 1);
  EXPECT_EQ(got["request"]["part"], "nose \"duct\"");
  EXPECT_EQ(got["request"]["sections"], 7);
  EXPECT_EQ(got["request"]["at"], nlohmann::json({0.1, 0.25}));
  EXPECT_EQ(got["request"]["file"], step);
  EXPECT_TRUE(got["request"]["assume_unit"].is_null());
  request.part.clear();
  request.assume_unit = "mm";
  got = measured();
  EXPECT_TRUE(got["request"]["part"].is_null());
  EXPECT_EQ(got["request"]["assume_unit"], "mm");
}

TEST_F(Worker, runs_within_its_limits_and_sees_no_other_open_file) {
#ifdef COREFEED_SANITIZED
  GTEST_SKIP() << "a sanitizer takes terabytes of addresses, so that none are bounded";
#endif
  use(R"(files=$(ls /proc/self/fd | wc -l)
reply "{\"status\":0,\"issues\":[],\"measurement\":{\"memory_kb\":$(ulimit -v),\"cpu\":$(ulimit -S -t),
\"file_size\":$(ulimit -f),\"files\":$(ulimit -n),\"core\":$(ulimit -c),\"open\":$files}}")");
  const int inheritable = open("/dev/null", O_RDONLY);  // a careless host's
  limits.memory = std::uint64_t{1} << 30;
  limits.cpu_seconds = 33;
  auto got = measured();
  close(inheritable);
  EXPECT_EQ(got["memory_kb"], 1 << 20);
  EXPECT_EQ(got["cpu"], 33);
  EXPECT_EQ(got["file_size"], 0);
  EXPECT_EQ(got["files"], 64);
  EXPECT_EQ(got["core"], 0);
  EXPECT_EQ(got["open"], 4);  // 0, 1, 2 and the folder that ls reads
}

TEST_F(Worker, leaves_no_open_file_and_no_zombie) {
  const auto before = open_files();
  use(R"(reply '{"status":0,"issues":[],"measurement":{}}')");
  EXPECT_EQ(outcome(), "ok");
  use("kill -SEGV $$");
  EXPECT_EQ(outcome(), "5 worker_died");
  limits.wall_seconds = 0.1;
  use("sleep 60");
  EXPECT_EQ(outcome(), "7 worker_limit");
  EXPECT_EQ(open_files(), before);
  EXPECT_EQ(waitpid(-1, nullptr, WNOHANG), -1);
  EXPECT_EQ(errno, ECHILD);
}

TEST_F(Worker, still_works_when_the_host_has_closed_its_standard_files) {
  use(R"(reply '{"status":0,"issues":[],"measurement":{}}')");
  const pid_t child = fork();
  if (child == 0) {
    for (const int file : {0, 1, 2}) close(file);
    _exit(run_worker(step, request, limits).ok() ? 0 : 1);
  }
  int status = -1;
  waitpid(child, &status, 0);
  EXPECT_EQ(status, 0);
}

TEST_F(Worker, a_death_by_signal_is_named) {
  use("echo 'terminate called: bad face' >&2; kill -SEGV $$");
  EXPECT_EQ(outcome(), "5 worker_died");
  EXPECT_TRUE(says("SIGSEGV")) << text;
  EXPECT_TRUE(says("bad face")) << text;
  use("kill -ABRT $$");
  EXPECT_EQ(outcome(), "5 worker_died");
  EXPECT_TRUE(says("SIGABRT")) << text;
  // Numbers of a program that died afterwards are not to be trusted.
  use(R"(reply '{"status":0,"issues":[],"measurement":{}}'; kill -SEGV $$)");
  EXPECT_EQ(outcome(), "5 worker_died");
}

TEST_F(Worker, a_hang_ends_at_the_wall_limit) {
  limits.wall_seconds = 0.3;
  const auto start = std::chrono::steady_clock::now();
  for (const char* hang : {"sleep 60", "exec >&-; sleep 60", "trap '' TERM INT; while :; do :; done",
                           R"(reply '{"status":0,"issues":[],"measurement":{}}'; sleep 60)"}) {
    use(hang);
    EXPECT_EQ(outcome(), "7 worker_limit") << hang;
    EXPECT_TRUE(says("0.3 s of time")) << text;
  }
  EXPECT_LT(std::chrono::steady_clock::now() - start, std::chrono::seconds(8));  // four runs, 240 s unchecked
}

TEST_F(Worker, processor_time_is_limited) {
  limits.cpu_seconds = 1;
  use("while :; do :; done");
  EXPECT_EQ(outcome(), "7 worker_limit");
  EXPECT_TRUE(says("1 s of processor time")) << text;
}

TEST_F(Worker, running_out_of_memory_is_named) {
  use(fmt::format("exit {}", out_of_memory_status));
  EXPECT_EQ(outcome(), "7 worker_limit");
  EXPECT_TRUE(says("4096 MB of memory")) << text;
}

TEST_F(Worker, nonsense_is_no_measurement) {
  const auto refused = [&](const std::string& script) {
    use(script);
    return outcome();
  };
  EXPECT_EQ(refused("exit 0"), "5 bad_reply");
  EXPECT_EQ(refused("echo hello"), "5 bad_reply");
  EXPECT_EQ(refused("printf 'corefeed-reply 1 10\\n{}'"), "5 bad_reply");
  EXPECT_TRUE(says("announced 10 bytes and sent 2")) << text;
  EXPECT_EQ(refused("printf 'corefeed-reply 1 2\\n{}more'"), "5 bad_reply");
  EXPECT_EQ(refused("printf 'corefeed-reply 2 2\\n{}'"), "5 bad_reply");
  EXPECT_EQ(refused("printf 'corefeed-reply 1 99999999999999999999999\\n{}'; sleep 60"), "5 bad_reply");
  EXPECT_EQ(refused("printf 'corefeed-reply 1 999999999999\\n{}'; sleep 60"), "5 bad_reply");
  EXPECT_TRUE(says("67108864 are the limit")) << text;
  EXPECT_EQ(refused("reply '[1,2'"), "5 bad_reply");
  EXPECT_EQ(refused("reply '{}'"), "5 bad_reply");
  EXPECT_EQ(refused("echo no library >&2; exit 127"), "5 worker_failed");
  EXPECT_TRUE(says("no library")) << text;
}

TEST_F(Worker, a_flood_is_cut_off) {
  limits.reply_bytes = 100'000;
  const auto start = std::chrono::steady_clock::now();
  use("yes");
  EXPECT_EQ(outcome(), "5 bad_reply");
  use("printf 'corefeed-reply 1 100000\\n'; yes");
  EXPECT_EQ(outcome(), "5 bad_reply");
  use(R"(yes >&2 & reply '{"status":0,"issues":[],"measurement":{}}')");
  EXPECT_EQ(outcome(), "ok");
  EXPECT_LT(std::chrono::steady_clock::now() - start, std::chrono::seconds(10));  // default limit: 90 s each
}

TEST_F(Worker, children_of_the_program_die_with_it) {
  use(R"(sleep 300 & reply "{\"status\":0,\"issues\":[],\"measurement\":{\"child\":$!}}")");
  const auto start = std::chrono::steady_clock::now();
  const auto got = measured();
  EXPECT_LT(std::chrono::steady_clock::now() - start, std::chrono::seconds(5));  // not the 90 s of the limit
  const std::string status = fmt::format("/proc/{}/status", got["child"].get<int>());
  bool gone = false;
  for (int attempt = 0; attempt < 100 && !gone; ++attempt) {  // the kernel takes a moment
    std::ifstream file(status);
    const std::string all{std::istreambuf_iterator<char>(file), {}};
    gone = all.empty() || all.find("State:\tZ") != std::string::npos;
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  EXPECT_TRUE(gone);
}

TEST_F(Worker, signals_of_the_host_do_not_disturb_the_waiting) {
  struct sigaction quiet {};
  struct sigaction before {};
  quiet.sa_handler = [](int) {};  // without SA_RESTART: every wait is interrupted
  sigaction(SIGALRM, &quiet, &before);
  itimerval often{{0, 500}, {0, 500}};
  setitimer(ITIMER_REAL, &often, nullptr);
  use(R"(sleep 0.2; reply '{"status":0,"issues":[],"measurement":{"a":1}}')");
  const std::string end = outcome();
  limits.wall_seconds = 0.2;
  use("sleep 60");
  const std::string late = outcome();
  often = {};
  setitimer(ITIMER_REAL, &often, nullptr);
  sigaction(SIGALRM, &before, nullptr);
  EXPECT_EQ(end, "ok");
  EXPECT_EQ(late, "7 worker_limit");
}

TEST_F(Worker, issues_of_the_program_are_passed_on) {
  use(R"(reply '{"status":5,"issues":[{"code":"not_closed","text":"an\u001b[31m edge"},{"code":"B@D","text":""},
{"code":"hint","text":"x","severity":"warning","line":12}],"measurement":null}')");
  const auto got = run_worker(step, request, limits);
  ASSERT_FALSE(got.ok());
  ASSERT_EQ(got.issues().size(), 3u);
  EXPECT_EQ(got.issues()[0].code, "not_closed");
  EXPECT_EQ(got.issues()[0].status, Status::geometry);
  EXPECT_EQ(got.issues()[0].text, "an [31m edge");
  EXPECT_EQ(got.issues()[1].code, "geometry");
  EXPECT_FALSE(got.issues()[1].text.empty());
  EXPECT_EQ(got.issues()[2].severity, Severity::warning);
  EXPECT_EQ(got.issues()[0].place.line, 0);
  EXPECT_EQ(got.issues()[2].place.line, 12);
  use(R"(reply '{"status":7,"issues":[]}')");
  EXPECT_EQ(outcome().front(), '7');
  use(R"(reply '{"status":5,"issues":"none"}')");
  EXPECT_EQ(outcome().front(), '5');
}

TEST_F(Worker, what_is_no_file_is_a_wrong_input) {
  use("exit 0");
  const std::string part = step;
  step = part + ".missing";
  EXPECT_EQ(outcome(), "3 missing_file");
  step = part + "/below";
  EXPECT_EQ(outcome(), "3 missing_file");
  step = "";
  EXPECT_EQ(outcome(), "3 missing_file");
  step = folder.string();
  EXPECT_EQ(outcome(), "3 no_regular_file");
  step = "/dev/zero";
  EXPECT_EQ(outcome(), "3 no_regular_file");
  step = (folder / "pipe").string();
  ASSERT_EQ(mkfifo(step.c_str(), 0600), 0);
  EXPECT_EQ(outcome(), "3 no_regular_file");
}

TEST_F(Worker, a_bad_file_never_reaches_the_program) {
  use("kill -KILL $$");
  step = write("cut.step", point_file.substr(0, 100));
  EXPECT_EQ(outcome(), "5 cut_file");
  EXPECT_GT(result.issues().front().place.line, 1);
  step = write("empty.step", "");
  EXPECT_EQ(outcome(), "5 empty_file");
  step = write("large.step", point_file);
  limits.prescan.bytes = 50;
  EXPECT_EQ(outcome(), "5 file_too_large");
}

TEST_F(Worker, is_found_where_told_or_beside_or_in_libexec) {
  setenv("COREFEED_WORKER", (folder / "nothing").c_str(), 1);
  auto found = find_worker();
  ASSERT_FALSE(found.ok());
  EXPECT_EQ(found.issues().front().code, "no_worker");
  EXPECT_EQ(found.issues().front().status, Status::usage);
  setenv("COREFEED_WORKER", step.c_str(), 1);  // a file, but no program
  EXPECT_FALSE(find_worker().ok());
  unsetenv("COREFEED_WORKER");

  const auto bin = folder / "bin";
  const auto libexec = folder / "libexec" / "corefeed";
  std::filesystem::create_directories(bin);
  std::filesystem::create_directories(libexec);
  found = find_worker({bin.string()});
  ASSERT_FALSE(found.ok());
  EXPECT_EQ(found.issues().front().status, Status::usage);
  EXPECT_NE(found.issues().front().text.find("without the part that reads geometry"), std::string::npos);
  for (const auto& place : {libexec, bin}) {  // the later one is looked at first
    std::ofstream(place / "corefeed-worker") << "#!/bin/sh\n";
    std::filesystem::permissions(place / "corefeed-worker", std::filesystem::perms::owner_all);
    found = find_worker({bin.string()});
    ASSERT_TRUE(found.ok());
    EXPECT_EQ(found.value(), (place / "corefeed-worker").string());
  }
}

// A Python module stands in lib/python3/dist-packages/corefeed of a prefix, or in python/corefeed of a build
// folder.
TEST_F(FakeWorker, ProgramIsFoundAboveADeepLibrary) {
  const auto deep = folder / "prefix" / "lib" / "python3" / "dist-packages" / "corefeed";
  std::filesystem::create_directories(deep);
  EXPECT_FALSE(find_worker({deep.string()}).ok());
  for (const auto& place : {folder / "bin", folder / "prefix" / "libexec" / "corefeed"}) {
    std::filesystem::create_directories(place);
    std::ofstream(place / "corefeed-worker") << "#!/bin/sh\n";
    std::filesystem::permissions(place / "corefeed-worker", std::filesystem::perms::owner_all);
    const auto found = find_worker({deep.string()});
    ASSERT_TRUE(found.ok());
    EXPECT_EQ(found.value(), (place / "corefeed-worker").string());  // the nearer one, once there are two
  }
}

TEST_F(FakeWorker, ShapesAreHandedOverOneAfterTheOther) {
  use(R"(reply "{\"status\":0,\"issues\":[],\"measurement\":{\"file\":\"$(cat)\",\"request\":$1}}")");
  const auto reply = ask_worker({{"nose", "first"}, {"port:nose.in", "second"}}, "nose, port", {});
  ASSERT_TRUE(reply.ok()) << describe(reply.issues().front());
  const std::string& text = reply.value().measurement;
  EXPECT_NE(text.find("firstsecond"), std::string::npos) << text;
  EXPECT_NE(text.find(R"({"bytes":5,"name":"nose"},{"bytes":6,"name":"port:nose.in"})"), std::string::npos)
      << text;
  EXPECT_EQ(ask_worker(std::vector<ShapeText>{}, "", {}).issues().front().code, "no_shape");
  WorkerLimits small;
  small.prescan.bytes = 10;
  EXPECT_EQ(ask_worker({{"nose", "first"}, {"tail", "second"}}, "", {}, small).issues().front().code,
            "file_too_large");
}

TEST_F(FakeWorker, WaitingCanBeInterrupted) {
  use("exec sleep 1000");
  struct Stop {};
  int asked = 0;
  const Interruptible interruptible([&asked] {
    if (++asked == 3) throw Stop();
  });
  EXPECT_THROW(ask_worker(step, {}), Stop);
}

}  // namespace
}  // namespace corefeed::worker
