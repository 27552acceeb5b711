// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/fluids/source.hpp"
#include "corefeed/units/quantity.hpp"

/// What is known about an element kind: its keys in a model file, its law in words, range, band and source,
/// what it reports. One row per kind, written in the law's own file; the model reader, the schema, `explain`,
/// the docs, the uncertainty list and the error texts all come from it.
namespace corefeed::losses {

/// Whether a key has to stand in the model.
enum class Need {
  required,  ///< an element without it is an error
  optional,  ///< absent means that the effect is absent
  standard   ///< absent means `Key::standard`
};

/// What a key that holds a name points at. A part (`whole`) takes every number that it does not give itself
/// from the element of its own kind that it names.
enum class Refers { nothing, core, loop, whole, cooler };

/// What an element of a kind may carry.
enum class Carries { air, liquid, either };

/// 1-sigma of a number: relative to its value, plus an absolute part in SI units.
struct Spread {
  double relative = 0;
  double absolute = 0;
};

struct Values;
class Curve;

/// One column of a measured curve, as it is headed in a table and named in a model.
struct Column {
  std::string_view name;
  units::Quantity quantity = units::Quantity::number;
  std::string_view meaning;
};

/// What a key that holds a curve is made of: any one of `abscissas` against `ordinate`.
struct CurveForm {
  std::vector<Column> abscissas;
  Column ordinate;
  /// Further numbers of each point, of each any one. With them it is no curve but the points of a test, in
  /// any order, which are fitted and not interpolated.
  std::vector<std::vector<Column>> beside{};
  std::size_t least_points = 2;
  bool from_origin = false;  ///< zero at zero: that point is added where it is not given
  bool rising = false;       ///< the ordinate has to rise with the abscissa
};

/// One key of an element in a model file. A dotted name ("air_loss.linear") stands inside an object.
struct Key {
  std::string_view name;
  std::string_view symbol{};  ///< as in the formulas; may be empty
  units::Quantity quantity = units::Quantity::number;
  std::string_view meaning;  ///< one sentence without full stop
  Need need = Need::required;
  double standard = 0;  ///< SI; with Need::standard
  double lowest = -std::numeric_limits<double>::infinity();
  double highest = std::numeric_limits<double>::infinity();
  bool above_lowest = false;  ///< the lowest bound itself is not allowed (areas, lengths)
  Spread spread{};
  /// Spread that depends on the element's other numbers; wins over `spread` where set.
  Spread (*spread_of)(const Values&) = nullptr;
  std::string_view source{};  ///< where `standard` and `spread` come from
  Tag tag = Tag::from_memory;
  std::vector<std::string_view> choices{};  ///< a word of this list; the value is its index
  Refers refers = Refers::nothing;          ///< the key holds a name, not a number
  bool by_point = false;                    ///< an operating point may give it instead
  bool coefficient = false;                 ///< a handbook coefficient of the law, rarely touched by a user
  bool shared = false;                      ///< its error is one and the same in every element of the kind
  bool own_of_part = false;                 ///< a part may have its own instead of its whole's
  /// The key holds a measured curve: a list of points, or the name of a CSV file.
  const CurveForm* curve = nullptr;
};

/// Which keys may or must stand together. `keys` holds key names or the names of objects.
struct Rule {
  enum class Kind { exactly_one, at_most_one, any_of, needs, needs_one } kind;
  std::vector<std::string_view> keys;  ///< for `needs` (`needs_one`): the first asks for (one of) the others
};

/// A number that an element of the kind reports besides flow and pressure_loss.
struct Reported {
  std::string_view name;
  units::Quantity quantity = units::Quantity::number;
  std::string_view meaning;
};

/// A range of validity: outside it the result carries a warning that quotes value and bounds.
struct Range {
  std::string_view subject;  ///< a key or a reported number
  double lowest;
  double highest;
  std::string_view meaning;  ///< what is wrong outside, as a sentence part
  std::string_view where{};  ///< holds only where this key stands in the model; everywhere if empty
};

/// How well one half of an element is known, where that can differ: by test, by CFD, by its geometry.
struct Basis {
  std::string_view half;   ///< "pressure loss"
  std::string_view level;  ///< "tested points"
  std::string_view source;
  Tag tag = Tag::from_memory;
};

/// Where an element may stand.
enum class Ends {
  both,
  no_from,
  no_to,
  three_ports  ///< `ports` names three nodes; solved as two legs, common to straight and common to branch
};

/// Leg of a kind with three ports.
enum class Leg { straight, branch };

/// The numbers of one element, by the place of the key in `Kind::keys`.
struct Values {
  std::span<const double> number;
  std::uint64_t given = 0;  ///< bit i: key i stands in the model (or was measured)
  std::span<const std::shared_ptr<const Curve>> curve{};  ///< by place of the key; empty without any curve
  bool has(std::size_t key) const { return (given >> key & 1U) != 0; }
};

struct LawFunctions;  // law.hpp; keeps the dual numbers out of this header

/// Numbers of a worked value: what a kind loses in one plain case, computed when it is shown.
struct Example {
  struct Given {
    std::string_view key;
    double value;  ///< SI; the place of the word for a key with choices
  };
  std::vector<Given> numbers;
  double velocity = 10.0;            ///< m/s through `area`
  double area = 0.0;                 ///< m2
  double speed = 0.0;                ///< of the car, m/s; openings alone need one
  double engine_speed = 0.0;         ///< rad/s; pumps alone need one
  double pressure_difference = 0.0;  ///< Pa, from minus to; valves alone need one
  double branch_share = 0.0;         ///< three ports: of the flow into the branch, whose leg is shown
  std::vector<std::array<double, 2>> curve_points{};  ///< SI, for the kind's curve if it has one
};

/// The row of an element kind.
struct Kind {
  std::string_view name;     ///< "diffuser"
  std::string_view title;    ///< "Diffuser"
  std::string_view meaning;  ///< what it stands for in the car, one sentence
  /// The word for it in a model, where that is another: a core is called so on both its sides.
  std::string_view word{};
  Ends ends = Ends::both;
  Carries carries = Carries::air;
  std::vector<Key> keys;
  std::vector<Rule> rules{};
  std::string_view formula;    ///< the law in words and symbols
  std::string_view reference;  ///< the section whose dynamic head the coefficient stands on
  std::string_view reversed;   ///< what happens when the flow turns round
  std::string_view range;      ///< where the law holds, in words
  std::vector<Range> ranges{};
  double band = 0;  ///< relative 1-sigma of the loss
  std::string_view source;
  Tag tag = Tag::from_memory;
  /// Says what is wrong between the element's numbers (each is within its own bounds), or "".
  std::string (*contradiction)(const Values&) = nullptr;
  /// Says where the law had to hold one of the numbers at a limit, or "": becomes a warning of the result.
  std::string (*mended)(const Values&) = nullptr;
  /// What the numbers of such an element rest on; null for a kind that is known in one way only.
  std::vector<Basis> (*basis)(const Values&) = nullptr;
  std::vector<Reported> reported{};
  std::vector<std::string_view> items{};  ///< names of the parts that sum to pressure_loss
  bool pays_entrance = false;             ///< loses an entrance head where it starts in a plenum
  bool dumps_head = false;                ///< loses its leaving head where it ends in a plenum
  bool heated = false;                    ///< the stream leaves with a temperature of its own
  bool monotone = true;                   ///< the loss rises with flow
  /// Whether an element with these numbers is monotone, where that depends on them; wins over `monotone`.
  bool (*monotone_of)(const Values&) = nullptr;
  const LawFunctions* law = nullptr;  ///< null for a kind that is divided into pieces before solving
  Example example{};
};

/// All kinds, in alphabetical order. Lives as long as the program.
std::span<const Kind* const> kinds();

/// The kind of this name, or null.
const Kind* find_kind(std::string_view name);

/// The kind that a model's `air` (or its loops) calls by this word, or null.
const Kind* find_kind(std::string_view word, bool liquid);

/// How a model writes the kind.
std::string_view word_of(const Kind& kind);

/// Whether an element of the kind may stand in `air`, or in a loop.
bool may_carry(const Kind& kind, bool liquid);

/// A core on its air side.
bool is_air_core(const Kind& kind);

/// Place of a key in `kind.keys`, or npos.
std::size_t find_key(const Kind& kind, std::string_view name);
inline constexpr std::size_t npos = static_cast<std::size_t>(-1);

/// Area that a stream fills where it enters (`at_from`) or leaves the element, m2; 0 where the numbers do not
/// say.
double end_area(const Kind& kind, const Values& values, bool at_from, Leg leg = Leg::straight);

/// 1-sigma of key `key` of an element with these numbers, SI.
double sigma_of(const Kind& kind, std::size_t key, const Values& values);

}  // namespace corefeed::losses
