// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/json.hpp"
#include "corefeed/reports/json_parts.hpp"

namespace corefeed::reports {
namespace {

using model::make_array;
using model::make_boolean;
using model::make_object;
using studies::LapStudy;
using studies::LoopOverLap;

/// The same kind of number for every loop; null where the lap has no answer.
template <class Make>
Value by_loop(const LapStudy& study, Make make) {
  Members members;
  for (const LoopOverLap& loop : study.loops)
    members.emplace_back(loop.name, study.ended ? Value() : make(loop));
  return make_object(std::move(members));
}

Value optional_number(const std::optional<double>& value) { return value ? number(*value) : Value(); }

Value count(int value) { return number(static_cast<double>(value)); }

Value peak_json(const LoopOverLap& loop) {
  return make_object({{"temperature", number(loop.result.peak)},
                      {"sigma", loop.sigma > 0.0 ? number(loop.sigma) : Value()},
                      {"lap", count(loop.peak_lap)},
                      {"time", number(loop.result.peak_time)},
                      {"distance", number(loop.peak_distance)}});
}

Value energy_json(const LoopOverLap& loop) {
  return make_object({{"in", number(loop.result.heat_in)},
                      {"out", number(loop.result.heat_out)},
                      {"stored", number(loop.result.stored)}});
}

void add_histories(const LapStudy& study, Members& members) {
  std::vector<Value> times;
  if (!study.ended) {
    for (const double time : study.time) times.push_back(number(time));
  }
  members.emplace_back("time", make_array(std::move(times)));
  for (std::size_t i = 0; i < study.loops.size(); ++i) {
    std::vector<Value> temperatures;
    if (!study.ended) {
      for (const cooling::LapState& state : study.rows) temperatures.push_back(number(state.temperature[i]));
    }
    members.emplace_back(study.loops[i].name + ".temperature", make_array(std::move(temperatures)));
  }
}

Value fans_json(const LapStudy& study) {
  Members members;
  for (const studies::FanOverLap& fan : study.fans) {
    members.emplace_back(fan.name, make_object({{"time_on", number(fan.result.time_on)},
                                                {"switched", count(fan.result.switched)}}));
  }
  return make_object(std::move(members));
}

Value requirements_json(const model::Model& model, const LapStudy& study) {
  std::vector<Value> list;
  for (const studies::JudgedRequirement& judged : study.requirements) {
    const studies::Judgment* one = judged.judgments.empty() ? nullptr : &judged.judgments.front();
    Members members = requirement_json(model.requirements[judged.index], one);
    members.emplace_back("fails", make_boolean(judged.fails));
    list.push_back(make_object(std::move(members)));
  }
  return make_array(std::move(list));
}

Value error_json(const LapStudy& study) {
  const bool known = !study.error.loop.empty();
  return make_object({{"largest", study.ended ? Value() : number(study.error.largest)},
                      {"loop", known ? text(study.error.loop) : Value()},
                      {"time", known ? number(study.error.time) : Value()},
                      {"solutions", number(static_cast<double>(study.solutions))}});
}

}  // namespace

std::string lap_json(const model::Model& model, const LapStudy& study) {
  Members members = head_of(model);
  members.emplace_back("options", make_object({{"trace", text(study.trace.file)},
                                               {"point", text(study.point)},
                                               {"stint", make_boolean(study.stint)}}));
  members.emplace_back("laps", count(study.laps));
  members.emplace_back("cyclic", make_boolean(study.cyclic));
  members.emplace_back("change", study.ended ? Value() : number(study.change));
  members.emplace_back("duration", number(study.trace.duration()));
  members.emplace_back("distance", number(study.distance));
  members.emplace_back("mean_speed", number(study.mean_speed));
  members.emplace_back("peak", by_loop(study, peak_json));
  members.emplace_back("time_above", by_loop(study, [](const LoopOverLap& loop) {
                         return loop.limit ? number(loop.result.time_above) : Value();
                       }));
  members.emplace_back("limit",
                       by_loop(study, [](const LoopOverLap& loop) { return optional_number(loop.limit); }));
  members.emplace_back("mean",
                       by_loop(study, [](const LoopOverLap& loop) { return number(loop.result.mean); }));
  members.emplace_back("steady",
                       by_loop(study, [](const LoopOverLap& loop) { return optional_number(loop.steady); }));
  members.emplace_back("energy", by_loop(study, energy_json));
  members.emplace_back(
      "core_share", by_loop(study, [](const LoopOverLap& loop) {
        return make_array({number(loop.result.least_share), number(loop.result.largest_share)});
      }));
  members.emplace_back("fans", fans_json(study));
  members.emplace_back("requirements", requirements_json(model, study));
  members.emplace_back("table_error", error_json(study));
  std::vector<Value> warnings;
  for (const Issue& issue : study.warnings) warnings.push_back(warning_json(issue));
  members.emplace_back("warnings", make_array(std::move(warnings)));
  add_histories(study, members);
  return model::write_document(make_object(std::move(members)));
}

}  // namespace corefeed::reports
