// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/batch.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "corefeed/cooling/coupling.hpp"
#include "corefeed/cooling/packed_kernels.hpp"
#include "corefeed/network/newton.hpp"
#include "tests/network/random_networks.hpp"

/// What is evaluated at several operating points at once, against the same at each alone. The two differ by
/// the rounding of their logarithms, powers and exponentials.
namespace corefeed::network {
namespace {

constexpr double rounding = 1e-10;

std::size_t at(int index) { return static_cast<std::size_t>(index); }

struct Parts {
  cooling::Case problem;
  std::shared_ptr<Network> network;
  Assembly assembly;

  explicit Parts(cooling::Case given) : problem(std::move(given)) {
    cooling::mark_coupled(problem);
    network = std::make_shared<Network>(problem.network);
    connect_neighbors(*network);
    problem.network = *network;
    assembly = assemble(network);
    cooling::add_loops(problem, assembly);
  }
};

losses::Surroundings at_speed(const losses::Surroundings& air, double speed) {
  losses::Surroundings other =
      losses::surroundings_of(air.air, air.pressure, air.temperature, speed, air.yaw);
  other.engine_speed = air.engine_speed;
  return other;
}

/// Operating points that differ in the state, in every number that may vary, and in speed.
struct Points {
  std::vector<Lanes> state, numbers;
  std::vector<losses::Surroundings> outside;
  std::shared_ptr<losses::SeveralSurroundings> together;

  Points(const Parts& parts, testing::Random& random) : state(), numbers() {
    const System& system = parts.assembly.system;
    state.resize(system.unknowns().size());
    numbers.resize(system.parameters().size());
    together = std::make_shared<losses::SeveralSurroundings>(parts.network->outside);
    for (std::size_t lane = 0; lane < lane_count; ++lane) {
      for (std::size_t i = 0; i < state.size(); ++i) {
        const Unknown& unknown = system.unknowns()[i];
        const bool reversed = unknown.block == Block::flow && random.chance(0.3);
        state[i].lane[lane] = (reversed ? -1.0 : 1.0) * unknown.start * random.between(0.5, 1.05);
      }
      for (std::size_t i = 0; i < numbers.size(); ++i) {
        const double given = system.parameters()[i];
        numbers[i].lane[lane] = system.varies(static_cast<int>(i)) ? given * random.between(0.9, 1.0) : given;
      }
      outside.push_back(at_speed(parts.network->outside, random.between(1.0, 60.0)));
      together->set(lane, outside.back());
    }
  }

  static std::vector<double> of(const std::vector<Lanes>& lanes, std::size_t lane) {
    std::vector<double> list;
    for (const Lanes& one : lanes) list.push_back(one.lane[lane]);
    return list;
  }
};

/// Values and all derivatives of one equation at all points, as a kernel gives them.
struct Evaluated {
  Lanes value{};
  std::vector<Lanes> slopes;

  Evaluated(const PackedKernels& kernels, const Function& function, const Points& points) {
    constexpr std::align_val_t alignment{alignof(Lanes)};
    const auto room = [&](std::size_t count) {
      const std::size_t bytes = (count + 1) * kernels.dual_size;
      return static_cast<std::byte*>(::operator new[](bytes, alignment));
    };
    std::byte* const state = room(function.unknowns.size());
    std::byte* const numbers = room(function.parameters.size());
    slopes.resize(function.unknowns.size());
    for (std::size_t first = 0; first == 0 || first < slopes.size(); first += kernels.width) {
      std::vector<int> seeds;
      for (std::size_t i = first; i < std::min(first + kernels.width, slopes.size()); ++i) {
        seeds.push_back(static_cast<int>(i));
      }
      kernels.evaluator(function.formula->packed_name())(
          {function.formula->callable(), function.unknowns, function.parameters, points.state.data(),
           points.numbers.data(), seeds, state, numbers, &value, slopes.data() + first});
    }
    ::operator delete[](state, alignment);
    ::operator delete[](numbers, alignment);
  }
};

void compare(Parts& parts, const Equation& equation, const Points& points, const Evaluated& together) {
  for (std::size_t lane = 0; lane < lane_count; ++lane) {
    parts.network->outside = points.outside[lane];
    std::vector<Slope> slopes;
    const double alone = differentiate_unknowns(equation.residual, Points::of(points.state, lane),
                                                Points::of(points.numbers, lane), slopes);
    // What rounding may do to a sum is measured by its largest parts.
    double size = std::abs(alone) + equation.scale;
    for (const Slope& slope : slopes) {
      size = std::max(size, std::abs(slope.value * points.state[at(slope.index)].lane[lane]));
    }
    ASSERT_NEAR(together.value.lane[lane], alone, rounding * size) << equation.name;
    for (std::size_t i = 0; i < slopes.size(); ++i) {
      const double one = points.state[at(slopes[i].index)].lane[lane];
      ASSERT_NEAR(together.slopes[i].lane[lane] * one, slopes[i].value * one, 100.0 * rounding * size)
          << equation.name << " by " << parts.assembly.system.unknowns()[at(slopes[i].index)].name;
    }
  }
}

TEST(Batch, EquationsAreThoseOfSinglePoints) {
  testing::Random random(20);
  std::set<std::string_view> seen;
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    Parts parts(testing::random_case(seed));
    const Points points(parts, random);
    parts.network->outside_of_several = points.together;
    for (const Element& element : parts.network->elements) seen.insert(element.kind->name);
    for (const PackedKernels* kernels : cooling::packed_kernels()) {
      for (const Equation& equation : parts.assembly.system.equations()) {
        if (kernels->evaluator(equation.residual.formula->packed_name()) == nullptr) continue;
        const Evaluated together(*kernels, equation.residual, points);
        compare(parts, equation, points, together);
        ASSERT_FALSE(::testing::Test::HasFatalFailure()) << kernels->instruction_set << ", seed " << seed;
      }
    }
  }
  // Nearly all that may carry air.
  EXPECT_GE(seen.size(), 14U);
}

TEST(Batch, KnowsEveryLaw) {
  for (const PackedKernels* kernels : cooling::packed_kernels()) {
    for (const losses::Kind* kind : losses::kinds()) {
      EXPECT_EQ(kernels->has_law(kind->name), kind->law != nullptr) << kind->name;
    }
  }
}

/// A point far from its solution among points at theirs: neither may disturb the other.
TEST(Batch, PointsDoNotDependOnEachOther) {
  Parts parts(testing::random_monotone_case(3));
  Workspace work(parts.assembly.system);
  std::vector<double> x;
  for (const Unknown& unknown : parts.assembly.system.unknowns()) x.push_back(unknown.start);
  const Solved solved = solve(parts.assembly, x, {});
  ASSERT_TRUE(solved.converged());
  std::vector<double> rest(work.size());
  work.linearize(solved.x, rest);
  ASSERT_TRUE(work.factor());
  parts.network->outside_of_several = std::make_shared<losses::SeveralSurroundings>(parts.network->outside);
  for (const PackedKernels* kernels : cooling::packed_kernels()) {
    std::optional<Batch> batch = Batch::make(parts.assembly, work, *kernels);
    ASSERT_TRUE(batch.has_value());
    std::vector<double> far = solved.x;
    for (double& one : far) one *= 1.02;
    const auto solve_lane_two = [&](std::span<const double> others) {
      for (std::size_t lane = 0; lane < lane_count; ++lane)
        batch->set_state(lane, lane == 2 ? solved.x : others);
      batch->set_parameter(parts.assembly.places.parameter[0], 2,
                           1.01 * parts.assembly.system.parameters()[0]);
      const LaneFlags ended = batch->solve({});
      EXPECT_TRUE(ended[2]);
      std::vector<double> found(x.size());
      batch->get_state(2, found);
      return found;
    };
    EXPECT_EQ(solve_lane_two(solved.x), solve_lane_two(far)) << kernels->instruction_set;
  }
}

}  // namespace
}  // namespace corefeed::network
