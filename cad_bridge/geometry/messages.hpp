// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <utility>

#include "corefeed/result.hpp"

/// How this room makes issues: all of them ask for the status "geometry", and none knows a line of a file.
namespace corefeed::geometry {

inline Issue geometry_error(std::string code, std::string text) {
  return {std::move(code), Severity::error, Status::geometry, {}, std::move(text)};
}

inline Issue geometry_warning(std::string code, std::string text) {
  return {std::move(code), Severity::warning, Status::geometry, {}, std::move(text)};
}

}  // namespace corefeed::geometry
