// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/cooling/control.hpp"
#include "corefeed/fluids/liquid.hpp"
#include "corefeed/losses/curve.hpp"
#include "corefeed/losses/kind.hpp"
#include "corefeed/losses/surroundings.hpp"
#include "corefeed/model/document.hpp"
#include "corefeed/network/network.hpp"

/// A model file as checked data: every number in SI, every name resolved, nothing solved yet.
namespace corefeed::model {

/// A number of the user's own instead of the handbook's: its 1-sigma (SI) and where it comes from.
struct OwnBand {
  std::optional<double> sigma;
  std::string source;
};

/// Which opening of a part is meant where no name tells: all that stands must hold.
struct OpeningSelector {
  std::string layer;  ///< of its face
  std::string color;  ///< of its face, "#rrggbb"
  std::string
      facing;  ///< "+x", "-x", ...: its normal, out of the passage, lies within 45 degrees of the axis
  std::optional<std::array<double, 3>> near;  ///< m in the file's frame, within half a diameter of its center
  bool empty() const { return layer.empty() && color.empty() && facing.empty() && !near; }
};

/// Where an element takes numbers from: a part of a CAD file. One of `opening`, `selector`, `cutout`, `core`
/// and `gap` stands for an element, none for a duct path.
struct GeometryReference {
  std::string file;     ///< as written in the model
  std::string path;     ///< resolved against the model's folder
  std::string part;     ///< empty: the only part
  std::string opening;  ///< by name
  OpeningSelector selector = {};
  std::string cutout = {};  ///< of a panel
  std::string core = {};    ///< a part that is a core
  std::string gap = {};     ///< the core that the end of the part stands before
  std::string from = {};    ///< openings at the ends of a duct path; empty where the part has one path
  std::string to = {};
};

/// What a bound opening, cut-out, face or gap looks like, so that a change of the drawing is seen.
struct Fingerprint {
  std::string of;        ///< "cutout 1 of fender"
  double area = 0;       ///< m2
  double perimeter = 0;  ///< m; 0 where none is measured
  std::array<double, 3> center{};
  std::array<double, 3> normal{};
};

/// A law's numbers: of an element or of one piece of a duct path.
struct Numbers {
  const losses::Kind* kind = nullptr;
  std::vector<double> value;             ///< SI, by place of the key; the standard value where not given
  std::uint64_t given = 0;               ///< bit i: key i stands in the model or was measured
  std::uint64_t measured = 0;            ///< bit i: key i was measured in CAD
  std::uint64_t fitted = 0;              ///< bit i: key i was fitted to tested points
  std::map<std::size_t, OwnBand> bands;  ///< by key, where the model gives sigma or source
  std::vector<std::shared_ptr<const losses::Curve>> curves;  ///< by place of the key; empty without any
  std::map<std::size_t, std::shared_ptr<const losses::TestPoints>> tests;  ///< by key
  losses::Values values() const { return {value, given, curves}; }
};

struct Piece {
  std::string name;  ///< "nose_duct/2 bend"
  Numbers numbers;
  std::string reason;  ///< why the path was cut here; empty where the model lists the piece
};

struct Element {
  std::string name;
  std::string from;    ///< node; empty for an inlet
  std::string to;      ///< node; empty for a vent
  std::string branch;  ///< third node of a junction, whose common and straight ports are `from` and `to`
  Numbers numbers;
  std::string loop;        ///< that a core cools
  std::string in_loop;     ///< the loop that it stands in; empty: in the air
  std::string other_side;  ///< of a liquid side: its core, or the other side of its cooler
  std::string whole;       ///< of a part: the element it is a part of
  std::string feeds;       ///< core of a diffuser or duct path
  std::optional<GeometryReference> geometry;
  std::vector<Fingerprint> fingerprints;  ///< of what is bound in CAD
  std::vector<Piece> pieces;              ///< of a duct path
  std::string pointer;                    ///< JSON pointer of the element
};

struct Node {
  std::string name;
  std::string in_loop;  ///< empty: in the air
  network::NodeKind kind = network::NodeKind::duct;
  std::optional<double> total_pressure;  ///< Pa above ambient
  std::optional<double> temperature;     ///< K
};

/// What a loop needs besides for its temperature over time; a steady solution takes the thermostat as fully
/// open and the fans as the point says.
struct Transient {
  std::optional<double> thermal_mass;       ///< J/K, liquid and metal that warms with it
  std::optional<double> temperature_limit;  ///< K
  std::optional<double> start_temperature;  ///< K
  std::optional<cooling::Thermostat> thermostat;
  std::vector<cooling::FanControl> fan_control;
};

struct Loop {
  std::string name;
  fluids::Liquid fluid;
  bool is_network = false;  ///< of elements and nodes of its own
  double flow = 0;          ///< kg/s; not of a network
  double heat_load = 0;     ///< W; not used where the load is a share of the engine's power
  std::string heat_at;      ///< element at whose end the heat enters a network; empty: the first pump
  OwnBand flow_band;
  OwnBand heat_load_band;
  std::optional<double> heat_share;    ///< heat over shaft power
  OwnBand heat_share_band;             ///< source and spread of the share
  bool share_by_rule = false;          ///< the share is a rule of thumb
  std::optional<double> cap_pressure;  ///< opening pressure of the filler cap, Pa above ambient
  Transient transient;
  std::string pointer;
};

class SurfacePressure;

struct Point {
  std::string name;
  double speed = 0;                         ///< m/s
  double yaw = 0;                           ///< rad
  std::optional<double> ride_height;        ///< m
  std::optional<double> engine_speed;       ///< rad/s
  std::map<std::string, double> heat_load;  ///< W, by loop
  std::optional<double> shaft_power;        ///< of the engine, W
  std::map<std::string, double> cp;         ///< by opening, before the table's
  std::map<std::string, losses::FanState> fans;
  std::string pointer;
};

struct Requirement {
  std::string name;
  std::string quantity;
  double limit = 0;  ///< SI
  bool at_least = true;
  units::Quantity kind = units::Quantity::number;
  std::string unit;             ///< as the model writes the limit
  std::vector<std::string> at;  ///< points; empty: all
  std::optional<double> confidence;
  std::string pointer;
};

struct Model {
  std::string file;
  std::string title;
  double temperature = 0;  ///< ambient, K
  double pressure = 0;     ///< ambient, Pa absolute
  double relative_humidity = 0;
  double frontal_area = 0;  ///< m2; 0: not given
  std::vector<Element> elements;
  std::vector<Node> nodes;
  std::vector<Loop> loops;
  std::shared_ptr<const SurfacePressure> surface_pressure;  ///< from CFD; empty without
  std::vector<Point> points;
  std::vector<Requirement> requirements;
  std::vector<Issue> warnings;  ///< of reading
  Document document;            ///< as read, variant applied; what a writer starts from
  std::string hash;             ///< SHA-1 of the text as read, hexadecimal

  const Element* find_element(std::string_view name) const;
};

/// What a CAD part gives to an element.
struct MeasuredElement {
  std::vector<Piece> pieces;                            ///< for a duct path
  std::vector<std::pair<std::string, double>> numbers;  ///< key and SI value
  std::vector<Fingerprint> fingerprints;                ///< of what gave them
  std::vector<Issue> warnings;
};

/// Measures what an element's `geometry` names. Given by the caller, since this room knows no CAD.
using GeometrySource = std::function<Result<MeasuredElement>(const Element& element)>;

struct ReadOptions {
  std::string variant;                   ///< name under `variants`; empty: the model as it stands
  std::vector<std::string> allow_roots;  ///< folders below which files may be opened besides the model's own
  GeometrySource geometry;               ///< empty: an element with `geometry` is an error
};

/// Reads, checks and binds a model. Every issue has file, line and JSON pointer and says what was found, what
/// is expected and the nearest known word. Codes: those of `read_document`, and unknown_key, missing_key,
/// wrong_type, missing_unit, unknown_unit, wrong_dimension, out_of_bounds, unknown_name, unknown_node,
/// unused_node, duplicate_name, bad_name, conflicting_keys, contradiction, no_outlet, no_inlet, no_opening,
/// self_loop, undescribed_node, to_decide, file_outside, unknown_variant, unknown_quantity, no_points.
Result<Model> read_model(const std::string& path, const ReadOptions& options = {});

/// The same for text in memory; `label` stands for the file, `folder` for its folder.
Result<Model> parse_model(std::string_view text, const std::string& label, const std::string& folder,
                          const ReadOptions& options = {});

/// Names under `variants`.
std::vector<std::string> variant_names(const Model& model);

/// The model's text with every change of `set_parameter`; reading it gives the same model.
std::string write_model(const Model& model);

/// JSON Schema (draft-07) of the model file, made from the kinds' rows and the table of units.
std::string schema();

}  // namespace corefeed::model
