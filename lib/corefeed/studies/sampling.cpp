// SPDX-License-Identifier: Apache-2.0
// Boost.Math 1.74 needs the C header first.
#include <math.h>

#include <boost/math/distributions/normal.hpp>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <utility>

#include "corefeed/cooling/prepared.hpp"
#include "corefeed/studies/spreads.hpp"
#include "corefeed/studies/study.hpp"

namespace corefeed::studies {
namespace {

/// How far out the normal distributions are cut, in sigmas.
constexpr double cut = 3.0;
/// A reversal of less than this share of the largest flow is no reversal.
constexpr double still_share = 1e-3;

/// Numbers from a counter (SplitMix64: Steele, Lea & Flood 2014, OOPSLA): the same on every machine, which
/// the standard library's distributions are not.
class Random {
 public:
  explicit Random(std::uint64_t seed) : state_(seed) {}

  std::uint64_t next() {
    state_ += 0x9e3779b97f4a7c15ULL;
    std::uint64_t mixed = state_;
    mixed = (mixed ^ (mixed >> 30U)) * 0xbf58476d1ce4e5b9ULL;
    mixed = (mixed ^ (mixed >> 27U)) * 0x94d049bb133111ebULL;
    return mixed ^ (mixed >> 31U);
  }
  double unit() { return static_cast<double>(next() >> 11U) * 0x1p-53; }
  std::size_t below(std::size_t count) { return static_cast<std::size_t>(next() % count); }

 private:
  std::uint64_t state_;
};

/// One deviate, in sigmas, a sample: each of as many equally likely slices of the cut normal distribution is
/// met once (Latin hypercube: McKay, Beckman & Conover 1979, Technometrics 21).
std::vector<double> deviates(int samples, Random& random) {
  const boost::math::normal normal;
  const double tail = boost::math::cdf(normal, -cut);
  std::vector<double> list;
  for (int i = 0; i < samples; ++i) {
    const double share = (i + random.unit()) / samples;
    list.push_back(boost::math::quantile(normal, tail + share * (1.0 - 2.0 * tail)));
  }
  for (std::size_t i = list.size(); i > 1; --i) std::swap(list[i - 1], list[random.below(i)]);
  return list;
}

/// A number that is moved. Numbers of one name share a deviate; what several parts leave of a whole moves
/// with all of theirs.
struct Moved {
  std::size_t input;
  double value;
  const Spread* bounds;
  struct Share {
    std::size_t deviate;
    double sigma;
  };
  std::vector<Share> shares;
};

double held_in_bounds(const Moved& moved, double value) {
  const Spread& spread = *moved.bounds;
  // An area does not become nothing, whatever its band says.
  const double floor =
      spread.above_lowest ? spread.lowest + 0.01 * (moved.value - spread.lowest) : spread.lowest;
  return std::clamp(value, floor, spread.highest);
}

/// Mean and 1-sigma of what the samples gave.
void summarize(const std::vector<double>& values, Sampled& sampled) {
  const auto count = static_cast<double>(values.size());
  if (values.size() < 2) return;
  sampled.mean = std::accumulate(values.begin(), values.end(), 0.0) / count;
  double square = 0.0;
  for (const double value : values) square += (value - sampled.mean) * (value - sampled.mean);
  sampled.sigma = std::sqrt(square / (count - 1.0));
  // Beyond a quarter of sigma the straight line is no picture of the model any more (common practice).
  sampled.differs = std::abs(sampled.sigma - sampled.linear_sigma) > 0.25 * sampled.sigma;
}

/// The number itself, not that of the part which stands behind it.
double value_now(const PointResult& result, const Spread& spread) {
  if (spread.owner == cooling::Parameter::Owner::loop) return spread.value;
  return result.built.problem.network.elements[static_cast<std::size_t>(spread.index)].numbers[spread.key];
}

class Sampler {
 public:
  Sampler(const model::Model& model, const PointResult& result, const SampleOptions& options)
      : result_(result),
        spreads_(spreads_of(model, result)),
        random_(options.seed),
        prepared_(result.built.problem, {.look_for_others = false}) {
    std::map<std::string, std::size_t> places;
    for (const Spread& spread : spreads_) {
      const auto input = prepared_.input(spread.input);
      if (!input || spread.sigma == 0.0) continue;
      const auto [place, fresh] = places.emplace(spread.name, deviates_.size());
      if (fresh) deviates_.push_back(deviates(options.samples, random_));
      auto found =
          std::find_if(moved_.begin(), moved_.end(), [&](const Moved& one) { return one.input == *input; });
      if (found == moved_.end()) {
        moved_.push_back(Moved{*input, value_now(result, spread), &spread, {}});
        found = moved_.end() - 1;
      }
      found->shares.push_back({place->second, spread.factor * spread.sigma});
    }
    for (const network::Element& element : result.built.problem.network.elements) {
      flows_.push_back(*prepared_.output(element.name + ".flow"));
    }
    for (const cooling::Loop& loop : result.built.problem.loops) {
      const auto output = prepared_.output(loop.name + ".temperature");
      if (output) temperatures_.push_back(*output);
    }
    // Every sample starts from the state in the middle, so that none depends on the one before.
    sound_ = prepared_.solve().converged;
    prepared_.mark();
  }

  bool sound() const { return sound_; }
  cooling::Prepared& prepared() { return prepared_; }

  enum class Drawn { steady, starved, lost };

  /// Solves one sample: `starved` where a loop finds no steady temperature, `lost` where there is no answer.
  Drawn draw(int sample) {
    prepared_.go_back();
    for (const Moved& one : moved_) {
      double value = one.value;
      for (const Moved::Share& share : one.shares) {
        value += share.sigma * deviates_[share.deviate][static_cast<std::size_t>(sample)];
      }
      prepared_.set(one.input, held_in_bounds(one, value));
    }
    if (!prepared_.solve().converged) return Drawn::lost;
    const bool steady = std::all_of(temperatures_.begin(), temperatures_.end(), [this](std::size_t output) {
      return prepared_.value(output) < cooling::hottest_loop_temperature - 1e-3;
    });
    return steady ? Drawn::steady : Drawn::starved;
  }

  /// Elements through which the air now flows the other way.
  void note_reversed(std::vector<std::string>& names) {
    const auto& elements = result_.built.problem.network.elements;
    double largest = 0.0;
    for (const cooling::ElementState& state : result_.solution.elements) {
      largest = std::max(largest, std::abs(state.flow));
    }
    for (std::size_t e = 0; e < elements.size(); ++e) {
      const double before = result_.solution.elements[e].flow;
      const double now = prepared_.value(flows_[e]);
      const bool turned = before * now < 0.0 && std::abs(now) > still_share * largest;
      const bool known = std::find(names.begin(), names.end(), elements[e].name) != names.end();
      if (turned && !known) names.push_back(elements[e].name);
    }
  }

 private:
  const PointResult& result_;
  std::vector<Spread> spreads_;
  Random random_;
  cooling::Prepared prepared_;
  std::vector<std::vector<double>> deviates_;
  std::vector<Moved> moved_;
  std::vector<std::size_t> flows_;
  std::vector<std::size_t> temperatures_;
  bool sound_ = false;
};

}  // namespace

Samples sample(const model::Model& model, const PointResult& result, const SampleOptions& options) {
  Samples samples;
  samples.count = options.samples;
  Sampler sampler(model, result, options);
  std::vector<std::size_t> outputs;
  for (const std::string& quantity : quantities_of_interest(model)) {
    const auto output = sampler.prepared().output(quantity);
    if (!output) continue;
    outputs.push_back(*output);
    Sampled one;
    one.quantity = quantity;
    one.linear_sigma = uncertainty_of(model, result, quantity).sigma;
    samples.quantities.push_back(std::move(one));
  }
  std::vector<std::vector<double>> values(outputs.size());
  for (int i = 0; i < options.samples && sampler.sound(); ++i) {
    const Sampler::Drawn drawn = sampler.draw(i);
    if (drawn != Sampler::Drawn::steady) ++samples.unsolved;
    if (drawn == Sampler::Drawn::lost) continue;
    for (std::size_t q = 0; q < outputs.size(); ++q) {
      // A starved core has no temperature to count, but its air flows: without it the band would be too
      // narrow.
      const bool flow = samples.quantities[q].quantity.ends_with(".flow");
      if (drawn == Sampler::Drawn::starved && !flow) continue;
      values[q].push_back(sampler.prepared().value(outputs[q]));
    }
    if (drawn == Sampler::Drawn::steady) sampler.note_reversed(samples.reversed);
  }
  for (std::size_t q = 0; q < outputs.size(); ++q) summarize(values[q], samples.quantities[q]);
  return samples;
}

}  // namespace corefeed::studies
