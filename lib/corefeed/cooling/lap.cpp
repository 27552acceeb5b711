// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/lap.hpp"

// Boost.Math 1.74 needs the C header first, and the dense output of Odeint these two.
#include <math.h>

#include <boost/numeric/odeint/util/bind.hpp>
#include <boost/numeric/odeint/util/unwrap_reference.hpp>

#include <boost/math/tools/toms748_solve.hpp>
#include <boost/numeric/odeint/stepper/dense_output_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/generation.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_dopri5.hpp>

#include <algorithm>
#include <cmath>

#include "corefeed/interruption.hpp"

namespace corefeed::cooling {
namespace {

namespace odeint = boost::numeric::odeint;

/// Temperatures, lifts, heat given off, integral of the temperature: each by loop.
using Numbers = std::vector<double>;

constexpr double absolute_tolerance = 1e-7;
constexpr double relative_tolerance = 1e-9;

class Driver {
 public:
  Driver(const LapProblem& problem, const LapState& start)
      : problem_(problem),
        count_(problem.loops.size()),
        lookup_(problem.table),
        share_(count_, 1.0),
        heat_(count_, 0.0),
        slope_(4 * count_, 0.0),
        fan_on_(start.fan_on),
        stepper_(odeint::make_dense_output(absolute_tolerance, relative_tolerance,
                                           odeint::runge_kutta_dopri5<Numbers>())) {
    now_ = start.temperature;
    now_.insert(now_.end(), start.lift.begin(), start.lift.end());
    now_.resize(4 * count_, 0.0);
    first_ = start.temperature;
    lap_.fans.resize(problem.controls.size());
    for (std::size_t i = 0; i < count_; ++i) {
      LapLoopResult result;
      result.peak = start.temperature[i];
      result.least_share = result.largest_share = share_at(now_, i);
      lap_.loops.push_back(result);
    }
  }

  Lap drive() {
    const LapDrive& trace = problem_.drive;
    lap_.rows.push_back(state());
    for (row_ = 0; row_ + 1 < trace.time.size() && !lap_.ended; ++row_) {
      advance(trace.time[row_ + 1]);
      lap_.rows.push_back(state());
    }
    finish();
    return std::move(lap_);
  }

 private:
  double lift(const Numbers& x, std::size_t loop) const { return x[count_ + loop]; }

  double share_at(const Numbers& x, std::size_t loop) const {
    const auto& thermostat = problem_.loops[loop].thermostat;
    return thermostat ? core_share(*thermostat, lift(x, loop)) : 1.0;
  }

  LapState state() const {
    const auto from = [this](std::size_t first) {
      const auto begin = now_.begin() + static_cast<std::ptrdiff_t>(first);
      return Numbers(begin, begin + static_cast<std::ptrdiff_t>(count_));
    };
    return {from(0), from(count_), fan_on_};
  }

  /// A number of the trace between the present row and the next.
  double between(const Numbers& values, double time) const {
    const Numbers& t = problem_.drive.time;
    const double share = (time - t[row_]) / (t[row_ + 1] - t[row_]);
    return values[row_] + share * (values[row_ + 1] - values[row_]);
  }

  std::size_t setting() const {
    std::size_t number = problem_.drive.setting[row_] << fan_on_.size();
    for (std::size_t k = 0; k < fan_on_.size(); ++k) number |= static_cast<std::size_t>(fan_on_[k]) << k;
    return number;
  }

  void slopes(const Numbers& x, Numbers& slope, double time) {
    for (std::size_t i = 0; i < count_; ++i) share_[i] = share_at(x, i);
    lookup_.heat(setting(), between(problem_.drive.speed, time), between(problem_.drive.yaw, time),
                 {x.data(), count_}, share_, heat_);
    for (std::size_t i = 0; i < count_; ++i) {
      const LapLoop& loop = problem_.loops[i];
      slope[i] = (between(problem_.drive.load[i], time) - heat_[i]) / loop.thermal_mass;
      slope[count_ + i] = loop.thermostat ? lift_rate(*loop.thermostat, lift(x, i), x[i]) : 0.0;
      slope[2 * count_ + i] = heat_[i];
      slope[3 * count_ + i] = x[i];
    }
  }

  /// Numbers whose change of sign ends a step: those of the controls, which switch falling, and four of each
  /// loop, which have no sign where they are zero but for rounding.
  void watch(const Numbers& x, double time, Numbers& numbers) {
    slopes(x, slope_, time);
    numbers.clear();
    const auto add = [&numbers](double number) { numbers.push_back(std::abs(number) < 1e-9 ? 0.0 : number); };
    for (std::size_t k = 0; k < fan_on_.size(); ++k) numbers.push_back(until_switched(k, x));
    for (std::size_t i = 0; i < count_; ++i) {
      const LapLoop& loop = problem_.loops[i];
      add(loop.limit ? x[i] - *loop.limit : 0.0);
      add(loop.thermostat ? warming_line(*loop.thermostat, x[i]) - lift(x, i) : 0.0);
      add(loop.thermostat ? lift(x, i) - cooling_line(*loop.thermostat, x[i]) : 0.0);
      add(slope_[i]);
    }
  }

  /// K that its loop is away from switching a fan.
  double until_switched(std::size_t control, const Numbers& x) const {
    const LapControl& by = problem_.controls[control];
    return fan_on_[control] ? x[by.loop] - by.off_below : by.on_above - x[by.loop];
  }

  /// From the present time to this one, within a row of the trace.
  void advance(double until) {
    double time = problem_.drive.time[row_];
    double step = until - time;
    switch_fans();
    watch(now_, time, before_);
    while (time < until && !lap_.ended) {
      stepper_.initialize(now_, time, std::min(step, until - time));
      stepper_.do_step([this](const Numbers& x, Numbers& slope, double t) { slopes(x, slope, t); });
      step = stepper_.current_time_step();
      double reached = stepper_.current_time();
      // The last step ends at the row itself, not a rounding beside it.
      if (until - reached < 1e-9 * (until - problem_.drive.time[row_])) reached = until;
      Numbers next = stepper_.current_state();
      const double event = first_event(next, time, reached);
      const bool is_cut = event < reached;
      if (is_cut) {
        reached = event;
        stepper_.calc_state(reached, next);
      }
      account(next, time, reached);
      now_ = std::move(next);
      time = reached;
      if (switch_fans() || is_cut) watch(now_, time, after_);
      std::swap(before_, after_);
    }
  }

  /// Time just behind the first change of sign in the step, or its end.
  double first_event(const Numbers& next, double from, double to) {
    watch(next, to, after_);
    double event = to;
    Numbers inside(now_.size());
    for (std::size_t which = 0; which < before_.size(); ++which) {
      if (before_[which] * after_[which] >= 0.0) continue;
      const auto at = [&](double time) {
        stepper_.calc_state(time, inside);
        watch(inside, time, inside_);
        return inside_[which];
      };
      std::uintmax_t steps = 60;
      const auto bracket = boost::math::tools::toms748_solve(
          at, from, to, before_[which], after_[which], boost::math::tools::eps_tolerance<double>(46), steps);
      if (bracket.second > from) event = std::min(event, bracket.second);
    }
    return event;
  }

  /// Whether any was switched.
  bool switch_fans() {
    bool any = false;
    for (std::size_t k = 0; k < fan_on_.size(); ++k) {
      if (until_switched(k, now_) > 0.0) continue;
      fan_on_[k] = !fan_on_[k];
      ++lap_.fans[k].switched;
      any = true;
    }
    return any;
  }

  void account(const Numbers& next, double from, double to) {
    for (std::size_t i = 0; i < count_; ++i) {
      LapLoopResult& result = lap_.loops[i];
      if (next[i] > result.peak) {
        result.peak = next[i];
        result.peak_time = to;
      }
      // The step does not cross the limit, since it would have ended there.
      const auto& limit = problem_.loops[i].limit;
      if (limit && 0.5 * (now_[i] + next[i]) > *limit) result.time_above += to - from;
      result.least_share = std::min(result.least_share, share_at(next, i));
      result.largest_share = std::max(result.largest_share, share_at(next, i));
      const bool sensible = next[i] > 200.0 && next[i] < absurd_temperature;
      if (!sensible && !lap_.ended) lap_.ended = Lap::Ended{i, to};
    }
    for (std::size_t k = 0; k < fan_on_.size(); ++k) {
      if (fan_on_[k]) lap_.fans[k].time_on += to - from;
    }
  }

  void finish() {
    const LapDrive& trace = problem_.drive;
    for (std::size_t i = 0; i < count_; ++i) {
      LapLoopResult& result = lap_.loops[i];
      for (std::size_t row = 1; row < lap_.rows.size(); ++row) {
        result.heat_in +=
            0.5 * (trace.load[i][row] + trace.load[i][row - 1]) * (trace.time[row] - trace.time[row - 1]);
      }
      result.heat_out = now_[2 * count_ + i];
      result.stored = problem_.loops[i].thermal_mass * (now_[i] - first_[i]);
      result.mean = now_[3 * count_ + i] / trace.time[lap_.rows.size() - 1];
    }
    lap_.end = state();
  }

  const LapProblem& problem_;
  std::size_t count_;
  HeatLookup lookup_;
  Numbers share_, heat_, slope_;     // scratch
  Numbers before_, after_, inside_;  // watched at the beginning and the end of a step, and inside it
  Numbers now_, first_;
  std::vector<bool> fan_on_;
  std::size_t row_ = 0;
  odeint::result_of::make_dense_output<odeint::runge_kutta_dopri5<Numbers>>::type stepper_;
  Lap lap_;
};

/// Limit of a sequence that closes in by a constant factor, from three of its members; the last where it does
/// not close in.
double extrapolated(double a, double b, double c) {
  const double factor = (c - b) / (b - a);
  if (!std::isfinite(factor) || std::abs(factor) > 0.98) return c;
  return c + std::clamp((c - b) * factor / (1.0 - factor), -50.0, 50.0);
}

LapState extrapolated(const LapState& a, const LapState& b, const LapState& c) {
  if (a.fan_on != b.fan_on || b.fan_on != c.fan_on) return c;
  LapState state = c;
  for (std::size_t i = 0; i < c.temperature.size(); ++i) {
    state.temperature[i] = extrapolated(a.temperature[i], b.temperature[i], c.temperature[i]);
    state.lift[i] = std::clamp(extrapolated(a.lift[i], b.lift[i], c.lift[i]), 0.0, 1.0);
  }
  return state;
}

}  // namespace

LapState settled(const LapProblem& problem, std::vector<double> temperature) {
  LapState state;
  for (std::size_t i = 0; i < problem.loops.size(); ++i) {
    const auto& thermostat = problem.loops[i].thermostat;
    state.lift.push_back(thermostat ? warming_line(*thermostat, temperature[i]) : 1.0);
  }
  for (const LapControl& control : problem.controls)
    state.fan_on.push_back(temperature[control.loop] > control.on_above);
  state.temperature = std::move(temperature);
  return state;
}

double largest_change(const LapState& a, const LapState& b) {
  double change = 0.0;
  for (std::size_t i = 0; i < a.temperature.size(); ++i)
    change = std::max(change, std::abs(a.temperature[i] - b.temperature[i]));
  return change;
}

Lap run_lap(const LapProblem& problem, const LapState& start) {
  interruption_point();
  return Driver(problem, start).drive();
}

LapCycle find_cycle(const LapProblem& problem, const LapState& start) {
  constexpr double closed = 0.01;  // K
  constexpr double cyclic = 0.2;   // K
  constexpr double closed_lift = 0.002;
  constexpr int most_laps = 60;
  LapCycle cycle;
  cycle.start = start;
  std::vector<LapState> series{start};
  while (true) {
    cycle.lap = run_lap(problem, cycle.start);
    ++cycle.laps;
    const LapState& end = cycle.lap.end;
    cycle.change = largest_change(cycle.start, end);
    cycle.cyclic = !cycle.lap.ended && cycle.change < cyclic && end.fan_on == cycle.start.fan_on;
    double lift_change = 0.0;
    for (std::size_t i = 0; i < end.lift.size(); ++i)
      lift_change = std::max(lift_change, std::abs(end.lift[i] - cycle.start.lift[i]));
    const bool closes = cycle.cyclic && cycle.change < closed && lift_change < closed_lift;
    if (closes || cycle.lap.ended || cycle.laps == most_laps) return cycle;
    series.push_back(end);
    cycle.start = end;
    // The last laps are driven as they come, so that a cycle of several laps shows itself.
    if (series.size() < 4 || cycle.laps > most_laps / 2) continue;
    cycle.start = extrapolated(series[1], series[2], series[3]);
    series = {cycle.start};
  }
}

}  // namespace corefeed::cooling
