// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "corefeed/cooling/prepared.hpp"
#include "corefeed/studies/margins.hpp"

/// One operating point with one trouble on a dial. Private to the room.
namespace corefeed::studies {

class TroubledCase {
 public:
  TroubledCase(const model::Model& model, const model::Point& point, Trouble trouble,
               const cooling::SolveOptions& options);

  /// Whether the trouble changes anything here: there are vents, screens, cores, head or leaks.
  bool concerns() const { return !dials_.empty(); }

  /// What may go wrong at this point.
  struct Target {
    Margin::Until until;
    std::string name;
    std::size_t output;
    double reference;  ///< what the output is held against, SI
    double sign;       ///< 1 where more of the output is better
  };
  const std::vector<Target>& targets() const { return targets_; }

  /// Turns the dial and solves, from the last state found; false where there is no steady state.
  bool set(double amount);
  /// How far a target is from going wrong, in its own unit; not above 0 when it has.
  double left(std::size_t target);

 private:
  enum class Turn { add, close, shrink, slow, grow };
  struct Turned {
    std::string name;
    double base;  ///< SI, without the trouble
    Turn turn;
  };
  struct Dial {
    std::size_t input;
    double base;
    Turn turn;
  };
  static double turned(const Dial& dial, double amount);
  static std::vector<std::pair<std::string_view, Turn>> keys_of(Trouble trouble,
                                                                const network::Element& element);
  static std::vector<Turned> mark_keys(Trouble trouble, cooling::Case& problem);
  TroubledCase(const model::Model& model, const model::Point& point, Trouble trouble,
               const cooling::SolveOptions& options, cooling::Case problem);
  void add_requirements(const model::Model& model, const std::string& point);
  void add_flows(const cooling::Case& problem);
  void add_target(Margin::Until until, const std::string& name, const std::string& quantity, double reference,
                  double sign);

  std::vector<Turned> turned_;
  cooling::Prepared prepared_;
  std::vector<Dial> dials_;
  std::vector<Target> targets_;
  std::vector<std::size_t> temperatures_;  ///< outputs: of the loops
};

}  // namespace corefeed::studies
