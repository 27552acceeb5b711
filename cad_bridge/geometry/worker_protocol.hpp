// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "cad_bridge/geometry/measure.hpp"
#include "corefeed/result.hpp"

/// What the worker and the program that starts it say to each other. Request: JSON, the worker's only
/// argument:
/// {"part": string or null, "sections": int, "at": [numbers], "cores": [strings], "assume_unit": string or
/// null, "file": string}. Reply: the line `corefeed-reply 1 <n>` and n bytes of JSON: {"status": 0 or 5,
/// "issues": [{"code", "text", "severity"}], "measurement": document or null, "marks": list}.
namespace corefeed::geometry {

/// The whole reply, header line included.
std::string write_reply(const Result<Measured>& measured);

}  // namespace corefeed::geometry
