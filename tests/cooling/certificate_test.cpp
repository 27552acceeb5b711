// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/certificate.hpp"

#include "corefeed/network/solver.hpp"
#include "tests/cooling/case_parts.hpp"
#include "tests/support/check.hpp"

// The certificate of a case with heat is held against states that are wrong in one thing.
namespace corefeed::cooling {
namespace {

using corefeed::testing::expect_relative;

Solved solved_car() {
  Solved solved;
  solved.problem = testing::small_car();
  mark_coupled(solved.problem);
  network::connect_neighbors(solved.problem.network);
  solved.assembly = network::assemble(std::make_shared<const network::Network>(solved.problem.network));
  solved.loops = add_loops(solved.problem, solved.assembly);
  std::vector<double> start;
  for (const network::Unknown& unknown : solved.assembly.system.unknowns()) start.push_back(unknown.start);
  const network::Solved ended = network::solve(solved.assembly, start, {});
  EXPECT_TRUE(ended.converged());
  solved.x = ended.x;
  return solved;
}

double& temperature_of_loop(Solved& solved) {
  return solved.x[static_cast<std::size_t>(solved.loops.temperature[0])];
}

TEST(CoolingCertificate, AHeatedCarIsCertified) {
  const network::Certificate certificate = certificate_of(solved_car());
  EXPECT_TRUE(certificate.met()) << certificate.words();
}

// With the liquid 1 K hotter the core would give off Q / (T_liquid - T_air) more than its air takes up.
TEST(CoolingCertificate, HeatThatNoAirTakesUpIsNamedAtItsCore) {
  Solved solved = solved_car();
  const double above = temperature_of_loop(solved) - solved.problem.network.outside.total_temperature;
  temperature_of_loop(solved) += 1.0;
  const network::Certificate certificate = certificate_of(solved);
  EXPECT_FALSE(certificate.met());
  EXPECT_EQ(certificate.energy.place, "radiator");
  expect_relative(certificate.energy.worst * certificate.energy.scale,
                  solved.problem.loops[0].heat_load / above, 1e-6);
}

TEST(CoolingCertificate, ALoadThatNoCoreGivesOffIsNamedAtItsLoop) {
  Solved solved = solved_car();
  solved.problem.loops[0].heat_load += 300.0;
  const network::Certificate certificate = certificate_of(solved);
  EXPECT_FALSE(certificate.met());
  EXPECT_EQ(certificate.energy.place, "coolant");
  expect_relative(certificate.energy.worst * certificate.energy.scale, 300.0, 1e-6);
}

}  // namespace
}  // namespace corefeed::cooling
