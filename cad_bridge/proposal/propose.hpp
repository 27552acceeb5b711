// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "cad_bridge/worker/measurement.hpp"
#include "corefeed/model/document.hpp"

namespace corefeed::proposal {

/// What the user says of the parts of an assembly, where their shapes and names do not.
struct Binding {
  struct Row {
    std::string part;     ///< pattern with * and ? for the part's path or its last component
    std::string end;      ///< pattern for an opening or a cut-out of it; empty: all of the part
    std::string as;       ///< "duct", "core", "vent", "inlet", "bay" or "ignore"
    std::string element;  ///< what the element is called; empty: after the part
    std::string pointer;  ///< where it stands in the file
  };
  std::vector<Row> rows;  ///< the first that fits holds
  std::string file;
};

/// Reads a binding file: {"parts": [{"part": "*rail*", "as": "ignore"},
/// {"part": "fender", "cutout": "cutout 1", "as": "vent", "element": "fender_vent"},
/// {"part": "nose_duct", "opening": "nose_duct.to", "as": "bay"}]}. Issues with line and pointer: those of
/// `read_document`, and wrong_type, unknown_key, missing_key, unknown_name, conflicting_keys.
Result<Binding> read_binding(const std::string& path);

/// What the shapes do not tell.
struct Decision {
  std::string pointer;  ///< in the proposed model
  std::string what;
  std::string reason;
};

/// A first model of an assembly.
struct Proposal {
  model::Value root;
  std::vector<Decision> to_decide;    ///< also stands in the model under "to_decide"
  std::vector<std::string> made;      ///< a line a part: what became of it
  std::vector<std::string> left_out;  ///< parts from which nothing was made, with what they block
};

/// Ducts become duct paths with an inlet where they begin in the open, cores cores, cut-outs of panels vents,
/// gaps round cores leaks; ends that touch share a node; everything meets in one plenum, "bay". Numbers stay
/// in CAD: the elements name their part of `file`, which is written as given. Nothing is guessed: what no
/// shape tells stands in `to_decide`. Issues (status input): nothing_to_propose; unused_row and unknown_name
/// where a row of the binding fits nothing or asks for what its part cannot be.
Result<Proposal> propose(const worker::Measurement& measurement, const std::string& file,
                         const Binding& binding = {});

/// For a person: what was made of each part, and what is left to decide.
std::string proposal_text(const Proposal& proposal, const std::string& model_file);

}  // namespace corefeed::proposal
