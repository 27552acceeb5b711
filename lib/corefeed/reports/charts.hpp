// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "corefeed/reports/svg.hpp"

/// The charts of the report page, each a static picture. Numbers come in the unit that is shown; colors,
/// dashes and the patterns behind them are the style sheet's, by class.
namespace corefeed::reports {

/// What is left of a sum as one thing after another takes its part, from top to bottom.
struct Waterfall {
  struct Step {
    std::string label;
    double taken = 0;   ///< negative where something adds
    std::string value;  ///< as text: "412 Pa"
    std::string share;  ///< "31 %"
  };
  std::string start;  ///< what the sum is
  std::string end;    ///< what is left below the last step
  double sum = 0;
  std::vector<Step> steps;
  std::string axis;  ///< title with unit
  Caption caption;
};
std::string waterfall(const Waterfall& chart, double width);

/// By how much each of several things moves a value, largest on top.
struct Tornado {
  struct Bar {
    std::string label;
    double up = 0;  ///< change of the value where the thing is larger by its 1-sigma
    std::string value;
  };
  std::vector<Bar> bars;
  std::string axis;  ///< title with unit
  Caption caption;
};
std::string tornado(const Tornado& chart, double width);

/// Values on grids of two axes, one grid beside the other.
struct CellMap {
  struct Cell {
    std::string text;
    std::string style;     ///< class: "met", "not-met", "too-close", "unsolved"
    bool flagged = false;  ///< a corner is marked
    bool framed = false;   ///< stands out by a frame
  };
  struct Grid {
    std::string title;
    std::vector<std::vector<Cell>> rows;
  };
  std::string across;  ///< title of the axis to the right; empty: it has no name
  std::string down;
  std::vector<std::string> columns;
  std::vector<std::string> rows;
  std::vector<Grid> grids;
  Caption caption;
};
std::string cell_map(const CellMap& chart, double width);

/// The patterns that the charts' classes refer to; stands once in a page, before the first chart.
std::string chart_patterns();

/// A mark beside a verdict's word: its shape differs, not its color alone. Classes as in `CellMap`.
std::string verdict_mark(std::string_view style, double x, double y, double size);

}  // namespace corefeed::reports
