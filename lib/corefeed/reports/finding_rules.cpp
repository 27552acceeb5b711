// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>

#include "corefeed/reports/findings.hpp"

namespace corefeed::reports {
namespace {

/// Ids are public: pipelines filter by them.
constexpr std::array rules{
    FindingRule{
        "requirement/not_met", "a requirement is not met",
        "The quantity misses its limit by more than its band. `corefeed check` lists what eats the head "
        "and what would cure it; `corefeed size` finds the size that holds the requirement."},
    FindingRule{
        "requirement/too_close", "a requirement is too close to call",
        "The limit lies within the band of the quantity. Replace the uncertain numbers that move it most "
        "by tests of your own, or leave more margin."},
    FindingRule{
        "point/no_solution", "an operating point has no solution",
        "No steady state was found at this point, so nothing can be said about it. The text says where the "
        "balance fails."},
    FindingRule{
        "point/several_solutions", "an operating point has several solutions",
        "The network can settle in more than one state here, such as a stalling fan. A verdict on one of "
        "them would be a guess; `corefeed solve` lists them all."},
    FindingRule{
        "out_of_range", "a number is outside the range of its law",
        "The law was made for another range; its band no longer holds. Test the part, or use a kind that "
        "holds there."},
    FindingRule{
        "mended", "a law held a number at its limit",
        "The element's numbers contradict each other or leave what the law can take, and the law used the "
        "nearest it can. Correct the numbers."},
    FindingRule{
        "extrapolated", "a pressure comes from beyond the runs",
        "The point's ride height or yaw lies outside the runs of CFD, and the nearest run was taken. Run "
        "the case, or move the point."},
    FindingRule{"area_mismatch", "sections do not fit where two elements meet",
                "Areas that differ at a duct node cost nothing by themselves. Put a `step`, `contraction` or "
                "`diffuser` between them."},
    FindingRule{
        "implausible", "a number is not usual",
        "No car's cooling has such a number; most often the unit is wrong, such as m for mm. Correct it, "
        "or leave it where it is meant so."},
    FindingRule{
        "fast_air", "the air is fast",
        "Above Mach 0.2 the weakly compressible model is still valid, but its errors grow up to Mach 0.3."},
    FindingRule{
        "reversed", "air flows backwards",
        "Air leaves through an inlet, enters through a vent or passes a core from behind. Look at the "
        "pressure coefficients and at fans nearby."},
    FindingRule{
        "fan_back_feeds", "a fan pushes air backwards",
        "Behind the fan the pressure is higher than before it, and another branch carries air back. Shut "
        "that branch with a flap, or let the fan cover it."},
    FindingRule{
        "suction_limit", "a pump lacks pressure at its inlet",
        "The pump cavitates and gives less than its curve. Raise the pressure at its inlet, shorten its "
        "suction side or slow it down."},
    FindingRule{
        "thermostat_closed", "a thermostat is shut",
        "The loop is cooler than the thermostat opens at, so that next to nothing flows to the core."},
    FindingRule{"no_liquid_flow", "next to no liquid flows through a core",
                "A heated core without liquid cools nothing. Look at what closes its branch."},
    FindingRule{
        "uneven_tubes", "headers feed tubes unevenly",
        "Some tubes get much more than others. Larger headers, or both ports on one side, even it out."},
    FindingRule{
        "boiling", "a liquid is close to boiling",
        "Under its pressure the liquid boils or is within a few kelvin of it, and hot spots boil earlier. "
        "Raise the cap's pressure or cool it more."},
    FindingRule{
        "starved", "a core gets next to no air",
        "The temperatures that follow are no answer: they only say that the heat cannot be given off."},
    FindingRule{"not_linear", "a band is no straight line",
                "Samples give another spread than the linear band; trust the samples."},
    FindingRule{"reverses", "a stream may turn round",
                "Within its uncertainty the air may flow the other way through these elements."},
    FindingRule{"unsolved_samples", "some samples have no steady state",
                "Within its uncertainty the point may have no steady state at all."},
    FindingRule{
        "measurement_overridden", "a number in the model overrides CAD",
        "The element is bound to CAD and gives a number of its own, which counts. Remove it to use the "
        "measured one."},
    FindingRule{"no_lock", "there is no lock of the bound geometry",
                "`corefeed validate --lock` writes one, so that a changed drawing is noticed."},
    FindingRule{"geometry_changed", "the drawing changed since it was locked",
                "Look whether the change is meant, then `corefeed validate --lock` takes it over."},
    FindingRule{"lock_unused", "the lock names what is not bound any more",
                "`corefeed validate --lock` writes the lock anew."},
    FindingRule{"not_locked", "bound geometry is missing from the lock",
                "`corefeed validate --lock` writes the lock anew."},
    FindingRule{"ends_ambiguous", "the ends of a duct could be others",
                "Name the openings in the drawing, or bind them by port bodies."},
    FindingRule{"external_files", "the drawing refers to other files",
                "Parts in other files are not measured. Export one file that holds all of them."},
    FindingRule{"port_not_thin", "a port body is not thin and flat",
                "A port is a thin plate or a planar surface that lies on the opening."},
    FindingRule{"unit_plausibility", "the unit of the drawing may be wrong",
                "A part is far larger or smaller than a duct of a car. Check the unit it was exported in."},
    FindingRule{"loss_exponent", "a tested loss rises unlike a core's",
                "Check the units of the test, and whether a shroud or grille was part of it."},
    FindingRule{"no_quadratic_loss", "a tested loss has no quadratic part",
                "No core shows that over a range of velocity. Check the points."},
    FindingRule{"no_linear_loss", "a tested loss has no linear part",
                "Below the tested points the loss is a guess. Add points at low velocity."},
    FindingRule{"conductance_split_assumed", "a heat test does not tell air from liquid",
                "Give points at two air flows and two liquid flows."},
    FindingRule{"conductance_without_resistance", "a heat test shows no resistance on one side",
                "Check the flows of the test, or the exponent of the other side."},
    FindingRule{"conductance_uncertain", "a heat test leaves a conductance open",
                "Give points at air flows and liquid flows that lie far apart."},
    FindingRule{"air_exponent_at_its_bound", "a heat test asks for an unusual exponent",
                "The exponent is held at its bound. Check the air flows of the test."},
    FindingRule{"number_underflow", "a number is too small and counts as 0",
                "The model writes a number that no double holds."},
    FindingRule{"tested_with_shroud", "a core was tested with its shroud",
                "The test's loss holds more than the core's own. See that nothing is counted twice."},
    FindingRule{"out_of_grade", "an oil is outside its grade",
                "The viscosities given do not belong to the grade named."},
};

constexpr FindingRule general{"", "a warning of the model or its geometry",
                              "The text says what was found and what to do about it."};

}  // namespace

std::span<const FindingRule> finding_rules() { return rules; }

const FindingRule& finding_rule(std::string_view id) {
  const auto found =
      std::find_if(rules.begin(), rules.end(), [id](const FindingRule& rule) { return rule.id == id; });
  return found == rules.end() ? general : *found;
}

}  // namespace corefeed::reports
