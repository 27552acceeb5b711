// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <span>
#include <string_view>

#include "corefeed/losses/surroundings.hpp"
#include "corefeed/network/elimination_program.hpp"

/// What is compiled once for each instruction set and chosen when the program runs: equations and elimination
/// at several operating points at once. Private to the library's sources.
namespace corefeed::network {

using losses::lane_count;
using losses::Lanes;

/// One evaluation of a function at all operating points, with the derivatives by some of its unknowns.
struct PackedEvaluation {
  const void* callable;             ///< of the type that the evaluator is for
  std::span<const int> unknowns;    ///< of the function
  std::span<const int> parameters;  ///< of the function
  const Lanes* state;               ///< by unknown of the system
  const Lanes* numbers;             ///< by parameter of the system
  std::span<const int> seeds;       ///< places in `unknowns`, at most `PackedKernels::width`
  /// Room for as many dual numbers as there are unknowns and parameters.
  std::byte* local_state;
  std::byte* local_numbers;
  Lanes* value;
  Lanes* slopes;  ///< by seed
};
using PackedEvaluator = void (*)(const PackedEvaluation&);

struct PackedKernels {
  std::string_view instruction_set;
  std::size_t dual_size;  ///< bytes
  std::size_t width;      ///< derivatives at once
  /// For the callables of this name (`Formula::packed_name`); null where there are none such.
  PackedEvaluator (*evaluator)(std::string_view name);
  /// Whether the law of this kind is among them.
  bool (*has_law)(std::string_view kind);
  /// Runs the elimination on numbers by slot; gives the largest multiplier of each operating point, NaN or
  /// infinity where a pivot was no number.
  void (*eliminate)(const EliminationProgram& program, Lanes* number, Lanes& largest_multiplier);
  /// Solves for `b` (by row) into `solved` (by column); `b` is used up.
  void (*substitute)(const EliminationProgram& program, const Lanes* number, Lanes* b, Lanes* solved);
};

}  // namespace corefeed::network
