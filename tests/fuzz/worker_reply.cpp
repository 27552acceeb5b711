// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/reply.hpp"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "cad_bridge/worker/measurement.hpp"
#include "tests/fuzz/measured.hpp"
#include "tests/fuzz/oracle.hpp"

/// What the measuring program answers, read as hostile: no announced length is trusted, an accepted
/// measurement is one object of finite numbers, and what does not fit is left out. The first byte chooses
/// where the bytes enter: as the whole reply, behind a header that fits, as the measurement alone, as marks,
/// or as the drawing.
namespace corefeed::fuzz {
namespace {

using worker::Measurement;
constexpr std::uint64_t most_bytes = 4096;

bool finite(const worker::Point& point) {
  return std::isfinite(point[0]) && std::isfinite(point[1]) && std::isfinite(point[2]);
}

bool finite(const std::vector<worker::Curve>& curves) {
  for (const worker::Curve& curve : curves)
    for (const worker::Point& point : curve)
      if (!finite(point)) return false;
  return true;
}

template <class Hole>
bool finite_hole(const Hole& hole) {
  bool all = std::isfinite(hole.area) && std::isfinite(hole.perimeter) && std::isfinite(hole.free_area) &&
             finite(hole.center) && finite(hole.normal) && finite(hole.outlines);
  for (const worker::Blocker& blocker : hole.blocked_by)
    all = all && std::isfinite(blocker.gap) && std::isfinite(blocker.share) && finite(blocker.covered);
  return all;
}

bool finite(const worker::Path& path) {
  bool all =
      std::isfinite(path.length) && std::isfinite(path.narrowest.area) && finite(path.narrowest.outlines);
  for (const worker::Station& station : path.stations) {
    all = all && std::isfinite(station.area) && station.loops >= 0 && finite(station.center) &&
          finite(station.outlines);
  }
  for (const worker::Piece& piece : path.pieces)
    for (const auto& [key, number] : piece.numbers) all = all && std::isfinite(number);
  return all;
}

bool finite(const Measurement& measurement) {
  bool all = finite(measurement.bounding_box[0]) && finite(measurement.bounding_box[1]);
  for (const worker::Part& part : measurement.parts) {
    for (const worker::Opening& opening : part.openings) all = all && finite_hole(opening);
    for (const worker::Cutout& cutout : part.cutouts) all = all && finite_hole(cutout);
    for (const worker::Path& path : part.paths) all = all && finite(path);
    all = all && std::isfinite(part.volume.value_or(0.0)) && finite(part.edges);
    if (part.core) all = all && std::isfinite(part.core->face_area) && finite(part.core->outlines);
  }
  for (const worker::Gap& gap : measurement.gaps) all = all && std::isfinite(gap.gap_area);
  return all;
}

void read_document(std::string_view json) {
  const Result<Measurement> read = worker::read_measurement(json, "parts.step");
  if (!read) return require_sound(read.issues(), json);
  require(finite(read.value()), "numbers of a measurement are finite");
  require(read.value().json == json, "a measurement keeps its text");
}

void judge(std::string_view json) {
  const Result<std::string> judged = worker::judge_reply(json, "parts.step");
  // Its text may name a line of the STEP file, of which there may be as many as an int holds.
  if (!judged) return require(!judged.issues().empty(), "a refusal has a reason");
  require(json.find(judged.value()) != std::string_view::npos, "a measurement is a part of the reply");
  require(nlohmann::json::parse(judged.value(), nullptr, false).is_object(), "a measurement is one object");
  read_document(judged.value());
  for (const char* key : {"marks", "drawing"}) {
    const std::string other = worker::member_of_reply(json, key);
    require(other.empty() || nlohmann::json::accept(other), "another member is sound by itself");
  }
}

void unframe(std::string_view bytes) {
  const Result<std::string> body = worker::unframe_reply(bytes, most_bytes);
  if (!body) return require_sound(body.issues(), bytes);
  require(body.value().size() <= most_bytes && bytes.ends_with(body.value()),
          "a reply is what follows its header");
  for (std::size_t cut = 0; cut < bytes.size(); cut += 1 + cut / 2) {
    require(!worker::reply_complete(bytes.substr(0, cut), most_bytes), "a sound reply is waited for");
    require(!worker::unframe_reply(bytes.substr(0, cut), most_bytes).ok(), "a cut reply is none");
  }
  require(worker::reply_complete(std::string(bytes) + 'x', most_bytes),
          "nobody waits for what follows a reply");
  judge(body.value());
}

Measurement sound() {
  static const Result<Measurement> read = worker::read_measurement(measured_json, "parts.step");
  require(read.ok(), "the sound measurement is sound");
  return read.value();
}

}  // namespace

void run(std::string_view bytes) {
  const auto [place, text] = choose(bytes, 5);
  if (place == 0) return unframe(text);
  if (place == 1) return unframe(fmt::format("corefeed-reply 1 {}\n{}", text.size(), text));
  if (place == 2) return read_document(text);
  Measurement measurement = sound();
  if (place == 3) worker::take_marks(measurement, text);
  if (place == 4) worker::take_drawing(measurement, text);
  require(finite(measurement), "what is drawn is finite");
  require(measurement.parts.size() == sound().parts.size(), "marks and drawings add no part");
}

}  // namespace corefeed::fuzz
