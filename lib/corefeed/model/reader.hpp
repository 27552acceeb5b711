// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/losses/curve.hpp"
#include "corefeed/model/document.hpp"
#include "corefeed/model/model.hpp"

/// What the sections' readers share: places, typed access and the messages. Private to the library's sources.
namespace corefeed::model {

/// A value of the document with the pointer that leads to it.
struct Spot {
  const Value* value = nullptr;
  std::string pointer;
  explicit operator bool() const { return value != nullptr; }
};

class Reader {
 public:
  /// `folder` holds the model; files may be opened below it and below `roots`.
  Reader(const Document& document, std::string folder, std::vector<std::string> roots)
      : document_(document), folder_(std::move(folder)), roots_(std::move(roots)) {}

  /// In the order of the document; the first 20 are whole, further ones only count.
  std::vector<Issue> issues;
  std::vector<Issue> warnings;

  /// The first 20, and how many more there are.
  std::vector<Issue> take_issues();

  Spot root() const { return {&document_.root, ""}; }
  /// The member of that key, or nothing.
  static Spot member(const Spot& object, std::string_view key);

  void error(const std::string& pointer, std::string code, std::string text);
  void warn(const std::string& pointer, std::string code, std::string text);

  /// False, with an issue, when the value is no object (array, string, number).
  bool want(const Spot& spot, Value::Kind kind);

  /// Reports every member whose key is not among these, with the nearest of them.
  void refuse_unknown(const Spot& object, const std::vector<std::string_view>& known);

  /// Whether a misspelt key was taken for this one: then it is not missing on top of that.
  bool is_meant(const std::string& object, std::string_view key) const;

  /// A required member; reports its absence with its meaning.
  Spot required(const Spot& object, std::string_view key, std::string_view meaning);

  /// Any text; names that the model gives are checked by `check_name`.
  std::optional<std::string> text(const Spot& spot);

  /// A text that names something, hence not an empty one; nothing where that is reported.
  std::optional<std::string> word(const Spot& spot);

  /// One of these words.
  std::optional<std::size_t> choice(const Spot& spot, const std::vector<std::string_view>& words);

  /// A number of this quantity: a string with its unit, or a plain JSON number where it has no dimension. An
  /// object {"value", "sigma", "source"} may stand in its place when `band` is given.
  std::optional<double> number(const Spot& spot, units::Quantity quantity, OwnBand* band = nullptr);

  /// Reports a number outside its bounds.
  bool within(const Spot& spot, double value, const losses::Key& key);

  /// Reports a name that cannot stand in a quantity: empty, over 64 characters, or with a blank, dot, slash,
  /// comma or control character.
  bool check_name(const std::string& pointer, std::string_view name);

  /// Path of a file that the model names, resolved against the model's folder; reports one that lies outside
  /// the folders allowed.
  std::optional<std::string> file(const Spot& spot);

  const Document& document() const { return document_; }

 private:
  /// Then the place of another issue and the words for it are not worth the time that they take.
  bool is_full() const;
  void count_one() { issues.emplace_back(); }

  std::optional<double> plain_number(const Spot& spot, units::Quantity quantity);
  const Document& document_;
  std::string folder_;
  std::vector<std::string> roots_;
  std::vector<std::string> meant_;  ///< pointers of the keys that misspelt ones were taken for
};

/// "did you mean "x"?" with a leading blank, or nothing when no known word is near.
std::string suggestion(std::string_view word, const std::vector<std::string_view>& known);

/// "$schema", which editors put there, and x- keys, which are the user's own remarks.
bool is_ignored(std::string_view key);

/// "air_loss" of "air_loss.linear"; empty for a key that stands alone.
std::string_view group_of(std::string_view key);

/// "linear" of "air_loss.linear"; the key itself where it stands alone.
std::string_view leaf_of(std::string_view key);

/// A kind that is divided into pieces before it is solved.
bool is_path(const losses::Kind& kind);

/// Whether CAD can give numbers to a kind: an opening or a cut-out to one that meets the outside, a core's
/// face, the gap round a core to one that has a gap's width and length, a whole path.
bool takes_geometry(const losses::Kind& kind);

/// The keys of `geometry` that say what of the part is meant, for a kind that takes geometry. Of a duct path
/// all may stand together, of the other kinds exactly one must.
std::vector<std::string_view> geometry_targets(const losses::Kind& kind);

/// What a target is, for messages and for the schema.
std::string_view meaning_of_target(std::string_view target);

/// Whether an element of the kind can be a piece of a duct path.
bool is_piece(const losses::Kind& kind);

void read_ambient(Reader& reader, Model& model);
void read_air(Reader& reader, Model& model);
/// Elements and nodes of the air (`loop` empty) or of a loop.
void read_parts(Reader& reader, const Spot& holder, const std::string& loop, Model& model);
void read_loops(Reader& reader, Model& model);
/// The keys of a loop that only its temperature over time needs, and what they must refer to.
inline constexpr std::string_view transient_keys[] = {"thermal_mass", "temperature_limit",
                                                      "start_temperature", "thermostat", "fan_control"};
void read_transient(Reader& reader, const Spot& loop, Transient& transient);
void check_transient(Reader& reader, const Model& model);
void read_points(Reader& reader, Model& model);
/// Points that stand in a CSV file, a row each; dotted columns such as heat_load.LOOP, cp.OPENING, fans.FAN.
void read_points_table(Reader& reader, const Spot& points, Model& model);
void read_surface_pressure(Reader& reader, Model& model);
void read_requirements(Reader& reader, Model& model);

/// Checks names across sections, references and the graph; after all sections are read.
void check_names(Reader& reader, Model& model);
void check_references(Reader& reader, Model& model);
/// Whether each loop of fixed flow has a core.
void check_cooled_loops(Reader& reader, const Model& model);

/// Loops that are networks, the cores and coolers that join them; after all names are known to be sound.
void check_loops(Reader& reader, const Model& model);
void check_quantities(Reader& reader, Model& model);

/// Reads the numbers of an object that holds an element's (or piece's) keys. Keys named in `besides` are not
/// the law's and are left to the caller. Nothing is missed yet: CAD may give it.
void read_numbers(Reader& reader, const Spot& object, const losses::Kind& kind,
                  const std::vector<std::string_view>& besides, Numbers& numbers);

/// The curve of a key that holds one: points written in the model, or the name of a CSV file.
std::shared_ptr<const losses::Curve> read_curve(Reader& reader, const Spot& spot, const losses::Key& key);

/// The points of a test, of a key whose form says that several numbers describe each.
std::shared_ptr<const losses::TestPoints> read_test(Reader& reader, const Spot& spot, const losses::Key& key);

/// How the heat of a loop is given: `heat_load`, `heat_share` or `heat_rule`.
void read_heat(Reader& reader, const Spot& object, Loop& loop);
/// Words of `heat_rule`.
std::vector<std::string_view> heat_rules();
/// A share of the shaft power asks every point for that.
void check_heat(Reader& reader, const Model& model);
/// 1-sigma of the heat of a loop at a point, W.
double heat_sigma(const Loop& loop, const Point& point);

/// Checks what parts of a split element are parts of, and that they take no more than there is.
void check_parts(Reader& reader, const Model& model);

/// Gives cores that were tested the coefficients behind their points.
void fit_tests(Reader& reader, Model& model);

/// After measuring: reports required keys that neither the model nor CAD gave, and keys that contradict.
void check_numbers(Reader& reader, const std::string& pointer, const Numbers& numbers);

/// Reads an element's `geometry`: the file and what of it is meant. Nothing where it was reported.
std::optional<GeometryReference> read_geometry(Reader& reader, const Spot& spot, const losses::Kind& kind);

/// Takes measured numbers and pieces into the elements that ask for them.
void bind_geometry(Reader& reader, Model& model, const ReadOptions& options);

}  // namespace corefeed::model
