// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/studies/study.hpp"

/// How much worse it may get on the day: what the car can bear of each trouble until a requirement falls, a
/// core loses half its air, or a stream turns round.
namespace corefeed::studies {

/// What gets worse. All elements that a trouble concerns get it at once and alike.
enum class Trouble {
  outlet_pressure,  ///< Cp of every vent rises: ride height, tyre wake, a body panel changed
  clogged_screens,  ///< share of the open area of every screen (and grille) that is closed
  dirty_cores,      ///< share of the face of every core that is closed; what stays open carries all air
  traffic,          ///< share of the dynamic head that is lost behind another car, heat loads as they are
  leak_growth       ///< factor on the area (or gap) of every leak
};
inline constexpr int trouble_count = 5;

/// What stands in tables: "Cp rise at every vent", "share of every core's face closed".
std::string_view trouble_name(Trouble trouble);
/// The amount of the trouble that stands for nothing changed: 0, for a factor 1.
double trouble_none(Trouble trouble);
/// As far as it is looked for.
double trouble_most(Trouble trouble);

/// What it takes until one thing goes wrong.
struct Margin {
  enum class Until { requirement, half_flow, reversal } until = Until::requirement;
  Trouble trouble = Trouble::outlet_pressure;
  std::string name;   ///< of the requirement, the core or the element that turns round (empty: none does)
  std::string point;  ///< where it happens first
  std::optional<double> amount;  ///< of the trouble; nothing: it does not happen up to `trouble_most`
  bool from_the_start = false;   ///< it is so already: `amount` is `trouble_none`
  /// Where the solution ends before that: beyond this amount there is no steady state any more.
  std::optional<double> lost_beyond;
};

struct Margins {
  std::vector<Margin> margins;   ///< by trouble, then requirement, core, reversal
  std::vector<Trouble> without;  ///< that concern nothing in this model, such as screens where there are none
};

/// Looks for each trouble along its amount, coarsely first and then closer in, at every point of the study
/// (or at those asked for), and keeps the point where it happens first. Requirements count as fallen where
/// the value crosses the limit, without regard to bands. Relative error of an amount: 1e-6.
Margins margins_of(const model::Model& model, const StudyOptions& options = {});

/// Within a trouble the one that happens first, of those that are not so already; null where none does.
const Margin* first_of(const Margins& margins, Trouble trouble);

}  // namespace corefeed::studies
