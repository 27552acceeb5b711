// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/model/build.hpp"

/// Private to the room.
namespace corefeed::model {

/// Tells a case's loops that are networks where their heat enters, which element's flow is theirs, what holds
/// their pressure, and which elements are two sides of one core or cooler.
void join_liquids(const Model& model, Built& built);

/// The node that holds a loop's pressure where the model fixes none: the inlet of its first pump; "" where
/// the model does.
std::string reference_node(const Model& model, const Loop& loop);

}  // namespace corefeed::model
