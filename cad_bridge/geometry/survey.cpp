// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/survey.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <utility>

#include "cad_bridge/geometry/blockers.hpp"
#include "cad_bridge/geometry/body_shape.hpp"
#include "cad_bridge/geometry/cores.hpp"
#include "cad_bridge/geometry/drawn_edges.hpp"
#include "cad_bridge/geometry/measure_part.hpp"
#include "cad_bridge/geometry/messages.hpp"
#include "cad_bridge/geometry/names.hpp"
#include "cad_bridge/geometry/parts.hpp"
#include "cad_bridge/geometry/ports.hpp"
#include "cad_bridge/geometry/rim_gap.hpp"
#include "cad_bridge/geometry/solids.hpp"
#include "cad_bridge/geometry/surroundings.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

Issue no_solid(const std::vector<Body>& bodies) {
  const bool only_ports = !bodies.empty();
  return geometry_error("no_solid", only_ports
                                        ? "the file holds nothing but ports; expected the duct they lie on"
                                        : "the file holds no solid and no surface; expected the air inside a "
                                          "duct as a solid, a sheet part, a panel or a core");
}

Issue no_flow_volume(const std::vector<Part>& parts) {
  return geometry_error(
      "no_flow_volume",
      fmt::format("none of {} is known to be air, a sheet duct, a panel with holes or a core; place thin "
                  "bodies named port:<element>.<end> on the ends of the air in each duct, or give it a name "
                  "with the word air, fluid, flow or volume",
                  list_names(parts)));
}

void append(std::vector<Issue>& to, const std::vector<Issue>& issues, Severity severity) {
  for (Issue issue : issues) {
    issue.severity = severity;
    to.push_back(std::move(issue));
  }
}

class Surveyor {
 public:
  Surveyor(const CadFile& file, const MeasureRequest& request)
      : file_(file), request_(request), shapes_(look_at(file.bodies)), binding_(bind()) {
    all_ = parts_of(file.bodies, shapes_, binding_.ports, request.cores);
  }

  Result<Measurement> run() {
    if (all_.empty()) return no_solid(file_.bodies);
    for (const std::string& name : request_.cores) {
      const Result<Part> core = part_named(name, all_, file_.bodies);
      if (!core) return core.issues();
    }
    std::vector<Part> chosen = all_;
    if (request_.part) {
      const Result<Part> part = part_named(*request_.part, all_, file_.bodies);
      if (!part) return part.issues();
      chosen = {part.value()};
    }
    if (std::all_of(chosen.begin(), chosen.end(), [](const Part& p) { return p.kind == PartKind::body; })) {
      std::vector<Issue> issues{no_flow_volume(chosen)};
      append(issues, binding_.warnings, Severity::warning);
      return issues;
    }
    return measure(chosen);
  }

 private:
  PortBinding bind() const {
    std::vector<BodyCap> caps;
    for (std::size_t i = 0; i < shapes_.size(); ++i) {
      for (const TopoDS_Face& face : shapes_[i].caps()) caps.push_back({i, face});
    }
    return bind_ports(file_.bodies, caps);
  }

  Result<Measurement> measure(const std::vector<Part>& chosen) {
    Measurement measurement{request_.file, file_.unit, {}, {}, {}, file_.warnings};
    append(measurement.warnings, binding_.warnings, Severity::warning);
    std::vector<Issue> errors;
    bool any_whole = false;
    Surroundings around(file_.bodies, all_);
    for (const Part& part : chosen) {
      PartOutcome outcome = measure_one(part);
      any_whole = any_whole || (part.kind != PartKind::body && outcome.errors.empty());
      append(measurement.warnings, outcome.warnings, Severity::warning);
      append(errors, outcome.errors, Severity::error);
      append(measurement.warnings, around.look_around(part, outcome), Severity::warning);
      measurement.parts.push_back(std::move(outcome.part));
    }
    if (!any_whole) {
      append(errors, binding_.warnings, Severity::warning);
      return errors;
    }
    append(measurement.warnings, errors, Severity::warning);
    for (const MeasuredPart& part : measurement.parts) add_gaps(part, measurement);
    measurement.bounding_box = bounding_box(all_shapes());
    draw(chosen, measurement);
    return measurement;
  }

  /// Edges of what was measured and of what blocks it; the many other bodies of a car are in no picture.
  void draw(const std::vector<Part>& chosen, Measurement& measurement) const {
    std::size_t room = 200'000;  // points
    const std::set<std::string> blockers = names_of_blockers(measurement);
    for (std::size_t i = 0; i < chosen.size(); ++i) {
      MeasuredPart& part = measurement.parts[i];
      if (chosen[i].kind == PartKind::body && !blockers.contains(part.name)) continue;
      std::vector<Curve> edges = edges_of(chosen[i]);
      std::size_t points = 0;
      for (const Curve& edge : edges) points += edge.size();
      if (points > room) continue;
      room -= points;
      part.edges = std::move(edges);
    }
  }

  static std::set<std::string> names_of_blockers(const Measurement& measurement) {
    std::set<std::string> names;
    const auto add = [&names](const auto& holes) {
      for (const auto& hole : holes) {
        for (const Blocker& blocker : hole.blocked_by) names.insert(blocker.part);
      }
    };
    for (const MeasuredPart& part : measurement.parts) {
      add(part.openings);
      add(part.cutouts);
    }
    return names;
  }

  std::vector<Curve> edges_of(const Part& part) const {
    std::vector<Curve> edges;
    for (const std::size_t body : part.bodies) {
      const std::vector<Curve> more = drawn_edges(file_.bodies[body].shape);
      edges.insert(edges.end(), more.begin(), more.end());
    }
    return edges;
  }

  PartOutcome measure_one(const Part& part) {
    const std::size_t first = part.bodies.front();
    const Body& body = file_.bodies[first];
    const PathOptions options{request_.sections, request_.at};
    switch (part.kind) {
      case PartKind::flow_volume:
        return measure_flow_volume(body, ports_on_faces(first), options);
      case PartKind::sheet_part:
      case PartKind::shell:
        return measure_walls(body, shapes_[first], ports_on(first), options);
      case PartKind::panel:
        return measure_panel(body, shapes_[first], ports_on(first));
      case PartKind::core:
        return outcome_of_core(part);
      case PartKind::body:
        break;
    }
    PartOutcome outcome;
    outcome.part.name = part.name;
    outcome.part.kind = word_for(PartKind::body);
    return outcome;
  }

  std::vector<BoundPort> ports_on(std::size_t body) const {
    std::vector<BoundPort> ports;
    std::copy_if(binding_.ports.begin(), binding_.ports.end(), std::back_inserter(ports),
                 [body](const BoundPort& port) { return port.body == body; });
    return ports;
  }

  std::vector<FaceName> ports_on_faces(std::size_t body) const {
    std::vector<FaceName> names;
    for (const BoundPort& port : ports_on(body)) names.push_back({port.index, port.name});
    return names;
  }

  const Result<MeasuredCore>& core(const Part& part) {
    const auto known = cores_.find(part.name);
    if (known != cores_.end()) return known->second;
    std::vector<CoreMember> members;
    for (const std::size_t body : part.bodies)
      members.push_back({std::string(last_component(file_.bodies[body].name)), file_.bodies[body].shape});
    return cores_.emplace(part.name, measure_core(part.name, members)).first->second;
  }

  PartOutcome outcome_of_core(const Part& part) {
    PartOutcome outcome;
    outcome.part.name = part.name;
    outcome.part.kind = word_for(PartKind::core);
    const Result<MeasuredCore>& measured = core(part);
    if (measured) {
      outcome.part.core = measured.value().block;
    } else {
      outcome.errors = measured.issues();
    }
    return outcome;
  }

  /// Every end of a duct against every core of the file, also where one part alone was asked for.
  void add_gaps(const MeasuredPart& duct, Measurement& measurement) {
    for (const Part& part : all_) {
      if (part.kind != PartKind::core || !core(part)) continue;
      for (const Opening& end : duct.openings) {
        if (auto gap = rim_gap(duct.name, end, part.name, core(part).value()))
          measurement.gaps.push_back(std::move(*gap));
      }
    }
  }

  std::vector<TopoDS_Shape> all_shapes() const {
    std::vector<TopoDS_Shape> shapes;
    for (const Part& part : all_) {
      for (const std::size_t body : part.bodies) shapes.push_back(file_.bodies[body].shape);
    }
    return shapes;
  }

  const CadFile& file_;
  const MeasureRequest& request_;
  std::vector<BodyShape> shapes_;
  PortBinding binding_;
  std::vector<Part> all_;
  std::map<std::string, Result<MeasuredCore>> cores_;
};

}  // namespace

Result<Measurement> survey(const CadFile& file, const MeasureRequest& request) {
  return Surveyor(file, request).run();
}

}  // namespace corefeed::geometry
