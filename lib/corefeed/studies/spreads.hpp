// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "corefeed/studies/study.hpp"

/// Which numbers of a solved point are uncertain, and by how much. Private to the room.
namespace corefeed::studies {

/// One number with its error. Numbers of one name share one error.
struct Spread {
  std::string name;   ///< "fender_vent.cp"; "vent.cross_stream" where all vents share the error
  std::string input;  ///< the number itself, "fender_vent.cross_stream"
  double value = 0;   ///< SI
  double sigma = 0;   ///< SI
  double factor = 1;  ///< what the error does to `input`: -1 for what the parts leave of a core
  double lowest = 0;  ///< SI, bounds of the key
  double highest = 0;
  bool above_lowest = false;
  bool coefficient = false;
  cooling::Parameter::Owner owner = cooling::Parameter::Owner::element;
  int index = 0;        ///< element of the network, or loop
  std::size_t key = 0;  ///< place in the kind's keys; loop: 0 flow, 1 heat load
};

/// All numbers that play a part, those without an error too.
std::vector<Spread> spreads_of(const model::Model& model, const PointResult& result);

}  // namespace corefeed::studies
