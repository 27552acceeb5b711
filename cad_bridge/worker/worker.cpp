// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/worker.hpp"

#include <fmt/format.h>
#include <sys/mman.h>
#include <unistd.h>

#include <cerrno>
#include <csignal>
#include <cstring>
#include <nlohmann/json.hpp>
#include <system_error>

#include "cad_bridge/worker/child.hpp"
#include "cad_bridge/worker/reply.hpp"
#include "cad_bridge/worker/step_bytes.hpp"
#include "cad_bridge/worker/step_prescan.hpp"

namespace corefeed::worker {
namespace {

std::string request_json(const MeasureRequest& request, const std::string& file,
                         const std::vector<ShapeText>& shapes = {}) {
  const auto word = [](const std::string& text) {
    return text.empty() ? nlohmann::json() : nlohmann::json(text);
  };
  nlohmann::json json{{"part", word(request.part)},
                      {"sections", request.sections},
                      {"at", request.at},
                      {"cores", request.cores},
                      {"assume_unit", word(request.assume_unit)},
                      {"file", file}};
  for (const ShapeText& shape : shapes) {
    json["shapes"].push_back({{"name", shape.name}, {"bytes", shape.brep.size()}});
  }
  // A path may hold bytes that are no UTF-8.
  return json.dump(-1, ' ', true, nlohmann::json::error_handler_t::replace);
}

Issue issue(const std::string& file, const char* code, Status status, std::string text) {
  return {code, Severity::error, status, {file, 0, 0, {}}, std::move(text)};
}

std::string said(const ChildEnd& end) {
  const std::string_view first = std::string_view(end.complaint).substr(0, end.complaint.find('\n'));
  return first.empty() ? std::string() : fmt::format("; it said {}", quoted(first));
}

/// The limit that a dead program ran into, in words, or nothing.
std::string limit_met(const ChildEnd& end, const WorkerLimits& limits) {
  if (end.kind == ChildEnd::Kind::wall_time) return fmt::format("{} s of time", limits.wall_seconds);
  if (end.kind == ChildEnd::Kind::killed && end.number == SIGXCPU)
    return fmt::format("{} s of processor time", limits.cpu_seconds);
  const bool told = end.kind == ChildEnd::Kind::exited && end.number == out_of_memory_status;
  // Without memory a program may also abort or run into a null pointer; then its size tells.
  const bool fell = end.kind == ChildEnd::Kind::killed && end.peak_memory > limits.memory / 4 * 3;
  if (limits.memory > 0 && (told || fell)) return fmt::format("{} MB of memory", limits.memory >> 20);
  return {};
}

Result<WorkerReply> judge_end(ChildEnd end, const std::string& file, const WorkerLimits& limits) {
  if (const std::string limit = limit_met(end, limits); !limit.empty())
    return issue(file, "worker_limit", Status::limit,
                 fmt::format("reading the geometry met the limit of {}", limit));
  if (end.kind == ChildEnd::Kind::not_started)
    return issue(file, "no_process", Status::internal,
                 fmt::format("the part that reads geometry could not be started: {}",
                             std::generic_category().message(end.number)));
  if (end.kind == ChildEnd::Kind::killed) {
    const char* name = sigabbrev_np(end.number);
    return issue(file, "worker_died", Status::geometry,
                 fmt::format("the part that reads geometry died of signal {} (SIG{}); the file is unsound{}",
                             end.number, name != nullptr ? name : "?", said(end)));
  }
  if (end.kind == ChildEnd::Kind::exited && end.number != 0 && end.output.empty())
    return issue(file, "worker_failed", Status::geometry,
                 fmt::format("the part that reads geometry ended with status {} and no answer{}", end.number,
                             said(end)));
  auto json = unframe_reply(end.output, limits.reply_bytes);
  if (!json) {
    Issue bad = json.issues().front();
    bad.place.file = file;
    bad.text += said(end);
    return bad;
  }
  Result<std::string> measurement = judge_reply(json.value(), file);
  if (!measurement) return measurement.issues();
  return WorkerReply{std::move(measurement).value(), member_of_reply(json.value(), "marks"),
                     member_of_reply(json.value(), "drawing")};
}

/// A file without a name that holds the texts, at its first byte.
Descriptor in_memory(const std::vector<ShapeText>& shapes) {
  Descriptor file(memfd_create("corefeed-shapes", MFD_CLOEXEC));
  for (const ShapeText& shape : shapes) {
    for (std::string_view rest = shape.brep; !rest.empty();) {
      const ssize_t written = ::write(file.number(), rest.data(), rest.size());
      if (written < 0 && errno == EINTR) continue;
      if (written <= 0) return Descriptor();
      rest.remove_prefix(static_cast<std::size_t>(written));
    }
  }
  if (lseek(file.number(), 0, SEEK_SET) != 0) return Descriptor();
  return file;
}

}  // namespace

Result<std::string> run_worker(const std::string& step_path, const MeasureRequest& request,
                               const WorkerLimits& limits) {
  Result<WorkerReply> reply = ask_worker(step_path, request, limits);
  if (!reply) return reply.issues();
  return std::move(reply.value().measurement);
}

Result<WorkerReply> ask_worker(const std::string& step_path, const MeasureRequest& request,
                               const WorkerLimits& limits) {
  auto bytes = read_step_bytes(step_path, limits.prescan.bytes);
  if (!bytes) return bytes.issues();
  const auto program = find_worker();
  if (!program) return program.issues();
  if (const auto scan = prescan_step(bytes.value().text, limits.prescan); !scan) {
    std::vector<Issue> issues = scan.issues();
    for (Issue& found : issues) found.place.file = step_path;
    return issues;
  }
  bytes.value().text = std::string();  // the program reads the file itself
  return judge_end(run_child(program.value(), request_json(request, step_path), bytes.value().file, limits),
                   step_path, limits);
}

Result<WorkerReply> ask_worker(const std::vector<ShapeText>& shapes, const std::string& label,
                               const MeasureRequest& request, const WorkerLimits& limits) {
  if (shapes.empty()) return issue(label, "no_shape", Status::input, "there is no shape to measure");
  const auto program = find_worker();
  if (!program) return program.issues();
  std::size_t bytes = 0;
  for (const ShapeText& shape : shapes) bytes += shape.brep.size();
  if (bytes > limits.prescan.bytes)
    return issue(
        label, "file_too_large", Status::geometry,
        fmt::format("the shapes take {} bytes as text; {} are the limit", bytes, limits.prescan.bytes));
  const Descriptor file = in_memory(shapes);
  if (file.number() < 0)
    return issue(
        label, "no_process", Status::internal,
        fmt::format("the shapes could not be handed over: {}", std::generic_category().message(errno)));
  return judge_end(run_child(program.value(), request_json(request, label, shapes), file, limits), label,
                   limits);
}

}  // namespace corefeed::worker
