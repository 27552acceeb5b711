// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/propose.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <fnmatch.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "cad_bridge/proposal/geometry_source.hpp"

namespace corefeed::proposal {
namespace {

using model::make_object;
using model::make_text;
using model::Value;

/// Ends meet where their centers lie closer than this share of the smaller hydraulic diameter and their
/// normals point at each other within 25 degrees. Closure of ours.
constexpr double touching = 0.2;
const double opposed = -std::cos(25.0 * std::acos(-1.0) / 180.0);
constexpr std::string_view bay = "bay";

std::string_view last_component(std::string_view path) {
  const std::size_t slash = path.rfind('/');
  return slash == std::string_view::npos ? path : path.substr(slash + 1);
}

double distance(const worker::Point& a, const worker::Point& b) {
  return std::hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

double dot(const worker::Direction& a, const worker::Direction& b) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

bool matches(const std::string& pattern, std::string_view name) {
  return fnmatch(pattern.c_str(), std::string(name).c_str(), 0) == 0;
}

/// An end of a duct with where it leads.
struct End {
  const worker::Part* part = nullptr;
  const worker::Opening* opening = nullptr;
  std::string duct;
  bool outlet = false;
  std::string node;  ///< empty until it is known
};

class Proposer {
 public:
  Proposer(const worker::Measurement& measurement, const std::string& file, const Binding& binding)
      : measurement_(measurement), file_(file), binding_(binding), used_(binding.rows.size(), false) {}

  Result<Proposal> make() {
    for (const worker::Part& part : measurement_.parts) take_part(part);
    for (const worker::Gap& gap : measurement_.gaps) seat_on_core(gap);
    join_touching();
    for (End& end : ends_) open_end(end);
    for (const auto& [part, name] : ducts_) add_duct(*part, name);
    for (const auto& [part, name] : cores_) add_core(*part, name);
    for (const worker::Gap& gap : measurement_.gaps) add_leak(gap);
    for (const Vent& vent : vents_) add_vent(vent);
    check_rows();
    if (elements_.empty() && issues_.empty()) {
      add_issue("nothing_to_propose",
                fmt::format("{} has no duct, core or panel with cut-outs; its parts: {}", file_,
                            fmt::join(names(), ", ")));
    }
    if (!issues_.empty()) return issues_;
    finish();
    return std::move(made_);
  }

 private:
  struct Vent {
    const worker::Part* part;
    const worker::Cutout* cutout;
    std::string name;
  };

  std::vector<std::string> names() const {
    std::vector<std::string> list;
    for (const worker::Part& part : measurement_.parts)
      list.push_back(fmt::format("{} ({})", part.name, part.kind));
    return list;
  }

  void add_issue(std::string code, std::string text, const std::string& pointer = {}) {
    Issue issue;
    issue.code = std::move(code);
    issue.status = Status::input;
    issue.place.file = pointer.empty() ? file_ : binding_.file;
    issue.place.pointer = pointer;
    issue.text = std::move(text);
    issues_.push_back(std::move(issue));
  }

  void decide(std::string pointer, std::string what, std::string reason) {
    made_.to_decide.push_back({std::move(pointer), std::move(what), std::move(reason)});
  }

  /// The first row of the binding that fits a part, or an end of it.
  const Binding::Row* row_of(const worker::Part& part, const std::string& end = {}) {
    for (std::size_t i = 0; i < binding_.rows.size(); ++i) {
      const Binding::Row& row = binding_.rows[i];
      if (!matches(row.part, part.name) && !matches(row.part, last_component(part.name))) continue;
      if (row.end.empty() != end.empty()) continue;
      if (!row.end.empty() && !matches(row.end, end)) continue;
      used_[i] = true;
      return &row;
    }
    return nullptr;
  }

  void check_rows() {
    for (std::size_t i = 0; i < used_.size(); ++i) {
      const Binding::Row& row = binding_.rows[i];
      if (!used_[i]) {
        add_issue("unused_row",
                  fmt::format("no part{} fits {}; the parts are: {}",
                              row.end.empty() ? "" : " with such an opening or cut-out", quoted(row.part),
                              fmt::join(names(), ", ")),
                  row.pointer);
      }
    }
  }

  /// A name that a model accepts and that nothing bears yet.
  std::string free_name(std::string_view wanted) {
    std::string name;
    for (const char c : wanted.substr(0, 56)) {
      const bool plain =
          (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-';
      name += plain || static_cast<unsigned char>(c) > 127 ? c : '_';
    }
    // No half letter at the end of a name that was cut short.
    while (wanted.size() > 56 && !name.empty() && static_cast<unsigned char>(name.back()) > 127)
      name.pop_back();
    static const std::set<std::string> reserved{"car", "ambient", "path", "all", "requirement", "bay", ""};
    std::string free = name;
    for (int number = 2; reserved.contains(free) || !taken_.insert(free).second; ++number)
      free = fmt::format("{}_{}", name, number);
    return free;
  }

  std::string name_of(const worker::Part& part, const Binding::Row* row) {
    return free_name(row != nullptr && !row->element.empty() ? row->element : last_component(part.name));
  }

  void take_part(const worker::Part& part) {
    const Binding::Row* row = row_of(part);
    const std::string as = row == nullptr ? std::string() : row->as;
    if (as == "ignore") return leave_out(part, "left out as the binding says");
    const bool duct = !part.paths.empty();
    const bool fits = as.empty() || (as == "duct" && duct) || (as == "core" && part.core) ||
                      (as == "vent" && !part.cutouts.empty());
    if (!fits) {
      return add_issue(
          "unknown_name",
          fmt::format("{} is a {} and cannot be a {}{}", part.name, part.kind, as,
                      as == "core" ? "; name it with --core, so that it is measured as one" : ""),
          row->pointer);
    }
    if (part.core) {
      cores_.emplace_back(&part, name_of(part, row));
    } else if (duct) {
      take_duct(part, row);
    } else if (!part.cutouts.empty()) {
      take_panel(part, row);
    } else {
      leave_out(part, part.openings.empty() ? "stands in the way at most" : "has one end alone and no path");
    }
  }

  void leave_out(const worker::Part& part, std::string_view why) {
    std::vector<std::string> blocked;
    for (const worker::Part& other : measurement_.parts) {
      const auto look = [&](const auto& hole) {
        for (const worker::Blocker& one : hole.blocked_by) {
          if (one.part == part.name)
            blocked.push_back(
                fmt::format("covers {:.0f} % of {} of {}", 100.0 * one.share, hole.name, other.name));
        }
      };
      for (const worker::Opening& opening : other.openings) look(opening);
      for (const worker::Cutout& cutout : other.cutouts) look(cutout);
    }
    made_.left_out.push_back(fmt::format("{} ({}): {}{}{}", part.name, part.kind, why,
                                         blocked.empty() ? "" : "; ", fmt::join(blocked, ", ")));
  }

  void take_duct(const worker::Part& part, const Binding::Row* row) {
    if (part.paths.size() != 1) {
      std::vector<std::string> paths;
      for (const worker::Path& path : part.paths)
        paths.push_back(fmt::format("{} to {}", path.from, path.to));
      decide("/air/elements", fmt::format("the branching duct {}", part.name),
             fmt::format("it has {} paths ({}): write a junction and a duct_path for each leg",
                         part.paths.size(), fmt::join(paths, ", ")));
      return leave_out(part, "branches; see what is left to decide");
    }
    const std::string name = name_of(part, row);
    ducts_.emplace_back(&part, name);
    for (const bool outlet : {false, true}) {
      const std::string& wanted = outlet ? part.paths.front().to : part.paths.front().from;
      for (const worker::Opening& opening : part.openings) {
        if (opening.name == wanted) ends_.push_back({&part, &opening, name, outlet, {}});
      }
    }
  }

  void take_panel(const worker::Part& part, const Binding::Row* row) {
    for (const worker::Cutout& cutout : part.cutouts) {
      const Binding::Row* own = row_of(part, cutout.name);
      if (own == nullptr) own = row;
      if (own != nullptr && own->as == "ignore") continue;
      if (own != nullptr && own->as != "vent") {
        add_issue("unknown_name",
                  fmt::format("{} of {} is a cut-out and cannot be a {}; expected vent or ignore",
                              cutout.name, part.name, own->as),
                  own->pointer);
        continue;
      }
      const std::string plain = fmt::format("{}_vent", last_component(part.name));
      vents_.push_back(
          {&part, &cutout, free_name(own != nullptr && !own->element.empty() ? own->element : plain)});
    }
  }

  const std::string* core_name(const std::string& part) const {
    for (const auto& [core, name] : cores_) {
      if (core->name == part) return &name;
    }
    return nullptr;
  }

  /// The end of a duct before or behind a core: the one closer to it.
  End* end_at(const worker::Gap& gap) {
    const worker::Part* core = nullptr;
    for (const auto& [part, name] : cores_) {
      if (part->name == gap.core) core = part;
    }
    End* nearest = nullptr;
    for (End& end : ends_) {
      if (core == nullptr || end.part->name != gap.duct) continue;
      const auto away = [core](const End& one) { return distance(one.opening->center, core->core->center); };
      if (nearest == nullptr || away(end) < away(*nearest)) nearest = &end;
    }
    return nearest;
  }

  void seat_on_core(const worker::Gap& gap) {
    End* end = end_at(gap);
    const std::string* core = core_name(gap.core);
    if (end == nullptr || core == nullptr) return;
    end->node = fmt::format("{}_{}", *core, end->outlet ? "face" : "back");
    (end->outlet ? fed_ : drained_).insert(*core);
    if (gap.gap_area > 0) nodes_[end->node] = "duct";
  }

  void join_touching() {
    for (std::size_t a = 0; a < ends_.size(); ++a) {
      for (std::size_t b = a + 1; b < ends_.size(); ++b) {
        End& one = ends_[a];
        End& other = ends_[b];
        if (!one.node.empty() || !other.node.empty() || one.part == other.part) continue;
        const double reach =
            touching * std::min(one.opening->hydraulic_diameter, other.opening->hydraulic_diameter);
        if (distance(one.opening->center, other.opening->center) > reach ||
            dot(one.opening->normal, other.opening->normal) > opposed)
          continue;
        one.node = other.node =
            fmt::format("{}_to_{}", one.outlet ? one.duct : other.duct, one.outlet ? other.duct : one.duct);
        if (one.outlet == other.outlet) {
          decide(fmt::format("/air/elements/{}", one.duct), "which way the air goes",
                 fmt::format("{} and {} meet with {} ends: turn one of them round", one.duct, other.duct,
                             one.outlet ? "their last" : "their first"));
        }
      }
    }
  }

  /// An end that meets nothing.
  void open_end(End& end) {
    if (!end.node.empty()) return;
    const Binding::Row* row = row_of(*end.part, end.opening->name);
    const std::string as = row == nullptr ? std::string() : row->as;
    if (as == "bay" || (as.empty() && end.outlet)) {
      end.node = bay;
      if (as.empty()) {
        decide(fmt::format("/air/elements/{}/to", end.duct), "where this duct leads",
               fmt::format(
                   "its end {} meets no core and no duct; the bay is written: make it a vent if it leads "
                   "outside",
                   end.opening->name));
      }
      return;
    }
    const bool vent = as == "vent";
    if (!as.empty() && (vent != end.outlet || (as != "vent" && as != "inlet"))) {
      return add_issue("unknown_name",
                       fmt::format("{} of {} cannot be a {}; expected {} or bay", end.opening->name,
                                   end.part->name, as, end.outlet ? "vent" : "inlet"),
                       row->pointer);
    }
    const std::string wanted = row != nullptr && !row->element.empty()
                                   ? row->element
                                   : fmt::format("{}_{}", end.duct, vent ? "vent" : "inlet");
    end.node = fmt::format("{}_{}", end.duct, vent ? "end" : "mouth");
    add_element(free_name(wanted), vent ? "vent" : "inlet", {{vent ? "from" : "to", end.node}},
                {{"opening", end.opening->name}}, *end.part);
  }

  std::string end_node(const worker::Part& part, bool outlet) const {
    for (const End& end : ends_) {
      if (end.part == &part && end.outlet == outlet) return end.node;
    }
    return std::string(bay);
  }

  void add_duct(const worker::Part& part, const std::string& name) {
    add_element(name, "duct_path", {{"from", end_node(part, false)}, {"to", end_node(part, true)}}, {}, part);
  }

  void add_core(const worker::Part& part, const std::string& name) {
    const bool fed = fed_.contains(name);
    const bool drained = drained_.contains(name);
    const std::string from = fed ? name + "_face" : std::string(bay);
    add_element(name, "core", {{"from", from}, {"to", drained ? name + "_back" : std::string(bay)}},
                {{"core", part.name}}, part);
    const std::string pointer = fmt::format("/air/elements/{}", name);
    if (!fed) decide(pointer + "/from", "what feeds this core", "no duct ends before it; the bay is written");
    if (!drained) {
      decide(pointer + "/to", "where its air goes",
             "no duct begins behind it; the bay is written: put a fan or shroud between if there is one");
    }
  }

  void add_leak(const worker::Gap& gap) {
    const End* end = end_at(gap);
    const std::string* core = core_name(gap.core);
    if (end == nullptr || core == nullptr || !(gap.gap_area > 0)) return;
    const bool before = end->outlet;
    const std::string name = free_name(fmt::format("{}_gap", *core));
    add_element(
        name, "leak",
        {{"from", before ? end->node : std::string(bay)}, {"to", before ? std::string(bay) : end->node}},
        {{"gap", gap.core}}, *end->part);
  }

  void add_vent(const Vent& vent) {
    add_element(vent.name, "vent", {{"from", std::string(bay)}}, {{"cutout", vent.cutout->name}}, *vent.part);
  }

  using Texts = std::vector<std::pair<std::string, std::string>>;

  /// The last component where that names the part alone.
  std::string short_name(const worker::Part& part) const {
    const std::string_view last = last_component(part.name);
    const auto same = [last](const worker::Part& other) { return last_component(other.name) == last; };
    const bool alone = std::count_if(measurement_.parts.begin(), measurement_.parts.end(), same) == 1;
    return alone ? std::string(last) : part.name;
  }

  void add_element(const std::string& name, const std::string& kind, const Texts& ends, const Texts& targets,
                   const worker::Part& part) {
    Value geometry = make_object({{"file", make_text(file_)}, {"part", make_text(short_name(part))}});
    for (const auto& [key, text] : targets) geometry.members.emplace_back(key, make_text(text));
    Value element = make_object({{"kind", make_text(kind)}});
    for (const auto& [key, node] : ends) {
      element.members.emplace_back(key, make_text(node));
      if (node == bay) nodes_[node] = "plenum";
    }
    element.members.emplace_back("geometry", std::move(geometry));
    elements_.emplace_back(name, std::move(element));
    made_.made.push_back(fmt::format("{}: {} {}", part.name, kind, name));
    list_missing(name, kind, targets, part);
  }

  /// Keys that the element needs and its shape does not give.
  void list_missing(const std::string& name, const std::string& word, const Texts& targets,
                    const worker::Part& part) {
    const losses::Kind* kind = losses::find_kind(word, false);
    model::Element wanted;
    wanted.numbers.kind = kind;
    wanted.numbers.value.assign(kind->keys.size(), 0.0);
    wanted.geometry =
        model::GeometryReference{.file = file_, .path = file_, .part = part.name, .opening = {}};
    for (const auto& [key, text] : targets) {
      if (key == "opening") wanted.geometry->opening = text;
      if (key == "cutout") wanted.geometry->cutout = text;
      if (key == "core") wanted.geometry->core = text;
      if (key == "gap") wanted.geometry->gap = text;
    }
    const Result<model::MeasuredElement> measured = element_from(measurement_, wanted);
    if (!measured)
      return add_issue("not_measured", fmt::format("{}: {}", name, measured.issues().front().text));
    std::set<std::string, std::less<>> given;
    for (const auto& [key, value] : measured.value().numbers) {
      given.insert(key);
      given.insert(key.substr(0, key.find('.')));
    }
    const std::string pointer = fmt::format("/air/elements/{}", name);
    for (const losses::Key& key : kind->keys) {
      if (key.need == losses::Need::required && !given.contains(key.name) && kind->law != nullptr)
        decide(fmt::format("{}/{}", pointer, key.name), std::string(key.meaning), "no shape tells it");
    }
    for (const losses::Rule& rule : kind->rules) {
      const bool asks =
          rule.kind == losses::Rule::Kind::exactly_one || rule.kind == losses::Rule::Kind::any_of;
      const auto stands = [&](std::string_view key) { return given.contains(key); };
      if (asks && std::none_of(rule.keys.begin(), rule.keys.end(), stands))
        decide(pointer, fmt::format("one of {}", fmt::join(rule.keys, ", ")), "no shape tells it");
    }
  }

  void finish() {
    decide("/ambient", "temperature and pressure of the air", "no shape tells them");
    decide("/points", "operating points: a name and a speed each", "no shape tells them");
    if (!cores_.empty())
      decide("/loops", "what each core cools: fluid, flow and heat load; leave it out to ask for flows alone",
             "no shape tells it");
    std::vector<Value> list;
    for (const Decision& one : made_.to_decide) {
      list.push_back(make_object({{"pointer", make_text(one.pointer)},
                                  {"what", make_text(one.what)},
                                  {"reason", make_text(one.reason)}}));
    }
    Value nodes = make_object();
    for (const auto& [name, kind] : nodes_)
      nodes.members.emplace_back(name, make_object({{"kind", make_text(kind)}}));
    made_.root = make_object(
        {{"corefeed", model::make_number(1)},
         {"title", make_text("Proposed from " + file_)},
         {"to_decide", model::make_array(std::move(list))},
         {"ambient", make_object()},
         {"air", make_object({{"elements", make_object(std::move(elements_))}, {"nodes", std::move(nodes)}})},
         {"loops", make_object()},
         {"points", model::make_array()}});
  }

  const worker::Measurement& measurement_;
  const std::string& file_;
  const Binding& binding_;
  std::vector<bool> used_;
  std::set<std::string> taken_;
  std::vector<std::pair<const worker::Part*, std::string>> cores_;
  std::vector<std::pair<const worker::Part*, std::string>> ducts_;
  std::vector<Vent> vents_;
  std::vector<End> ends_;
  std::set<std::string> fed_;      ///< cores with a duct before them
  std::set<std::string> drained_;  ///< and behind
  std::map<std::string, std::string> nodes_;
  std::vector<std::pair<std::string, Value>> elements_;
  std::vector<Issue> issues_;
  Proposal made_;
};

}  // namespace

Result<Proposal> propose(const worker::Measurement& measurement, const std::string& file,
                         const Binding& binding) {
  return Proposer(measurement, file, binding).make();
}

std::string proposal_text(const Proposal& proposal, const std::string& model_file) {
  std::string text = "Made of the parts:\n";
  for (const std::string& line : proposal.made) text += fmt::format("  {}\n", line);
  if (!proposal.left_out.empty()) text += "Nothing made of:\n";
  for (const std::string& line : proposal.left_out) text += fmt::format("  {}\n", line);
  text += fmt::format("Left to decide ({}), also under \"to_decide\" of {}:\n", proposal.to_decide.size(),
                      model_file);
  for (const Decision& one : proposal.to_decide)
    text += fmt::format("  {}: {} ({})\n", one.pointer, one.what, one.reason);
  text +=
      "Write these in, take their entries out of \"to_decide\", then: corefeed check " + model_file + "\n";
  return text;
}

}  // namespace corefeed::proposal
