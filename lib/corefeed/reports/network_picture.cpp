// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/network_picture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "corefeed/reports/layered_layout.hpp"
#include "corefeed/reports/network_graph.hpp"
#include "corefeed/reports/svg_parts.hpp"

namespace corefeed::reports {
namespace {

constexpr double border = 8;
constexpr double widest_line = 16;
constexpr double thinnest_line = 1.4;
constexpr double name_size = 12;
constexpr double flow_size = 11;
constexpr double box_height = 38;
constexpr double under_node = 14;  ///< from a node's lower edge to its name

/// As wide as its share of the largest flow.
double line_width(double flow, double most) {
  return most > 0 ? std::max(thinnest_line, widest_line * std::abs(flow) / most) : thinnest_line;
}

/// Where the lines of one side of a vertex stand one above the other.
double stacked(const NetworkGraph& graph, double most,
               const std::function<bool(const NetworkStream&)>& here) {
  constexpr double apart = 3;
  double left = 0;
  double right = 0;
  for (const NetworkStream& stream : graph.streams) {
    if (!here(stream)) continue;
    (stream.into_box ? left : right) += line_width(stream.flow, most) + apart;
  }
  return std::max(left, right);
}

std::string box_note(const NetworkBox& box) { return box.reversed ? box.flow + " reversed" : box.flow; }

struct Drawing {
  const NetworkGraph& graph;
  double most = 0;
  std::vector<LayoutVertex> vertices;  ///< boxes, then nodes
  std::vector<LayoutLink> links;       ///< as the graph's streams
  std::vector<double> bars;            ///< heights of the nodes' signs
  Layout layout{};
};

Drawing lay_out(const NetworkGraph& graph) {
  Drawing drawing{.graph = graph, .most = 0, .vertices = {}, .links = {}, .bars = {}};
  for (const NetworkStream& stream : graph.streams)
    drawing.most = std::max(drawing.most, std::abs(stream.flow));
  const double most = drawing.most;
  for (std::size_t b = 0; b < graph.boxes.size(); ++b) {
    const NetworkBox& box = graph.boxes[b];
    const double lines = stacked(graph, most, [b](const NetworkStream& one) { return one.box == b; });
    drawing.vertices.push_back(
        {std::max(svg_text_width(box.name, name_size), svg_text_width(box_note(box), flow_size)) + 14,
         std::max(box_height, lines + 6), box.last});
  }
  for (std::size_t d = 0; d < graph.dots.size(); ++d) {
    const double lines = stacked(graph, most, [&](const NetworkStream& one) { return one.dot == d; });
    const bool plenum = graph.dots[d].kind == network::NodeKind::plenum;
    drawing.bars.push_back(std::max(plenum ? 34.0 : 10.0, lines));
    // Room for the name below, and the same above, so that lines meet the middle. What only joins two
    // elements goes without: its name would make the picture twice as wide.
    const bool named = !graph.dots[d].joint;
    drawing.vertices.push_back({named ? std::max(12.0, svg_text_width(graph.dots[d].name, flow_size)) : 10.0,
                                drawing.bars.back() + (named ? 2 * under_node + 6 : 0.0), false});
  }
  for (const NetworkStream& stream : graph.streams) {
    const std::size_t box = stream.box;
    const std::size_t dot = graph.boxes.size() + stream.dot;
    drawing.links.push_back(
        {stream.into_box ? dot : box, stream.into_box ? box : dot, line_width(stream.flow, most)});
  }
  drawing.layout = layered_layout(drawing.vertices, drawing.links);
  return drawing;
}

/// Level where it leaves and arrives, so that lines meet boxes squarely.
std::string route_path(const std::vector<PlanePoint>& route) {
  std::string path = fmt::format("M{:.1f} {:.1f}", route.front().first, route.front().second);
  for (std::size_t i = 1; i < route.size(); ++i) {
    const auto& [x0, y0] = route[i - 1];
    const auto& [x1, y1] = route[i];
    const double middle = 0.5 * (x0 + x1);
    path += std::abs(y1 - y0) < 0.05
                ? fmt::format("L{:.1f} {:.1f}", x1, y1)
                : fmt::format("C{:.1f} {:.1f} {:.1f} {:.1f} {:.1f} {:.1f}", middle, y0, middle, y1, x1, y1);
  }
  return path;
}

/// At the end that the stream runs to.
std::string arrow_head(const std::vector<PlanePoint>& route, double width, bool rightward,
                       std::string_view style) {
  const double half = 0.5 * width + 3;
  const double length = 1.1 * half + 1;
  const PlanePoint tip = rightward ? route.back() : route.front();
  return fmt::format("<path class=\"{}\" d=\"M{:.1f} {:.1f}l{:.1f} {:.1f}v{:.1f}z\"/>", style, tip.first,
                     tip.second, rightward ? -length : length, -half, 2 * half);
}

/// Whether streams only leave the box.
bool is_source(const NetworkGraph& graph, std::size_t box) {
  return std::none_of(graph.streams.begin(), graph.streams.end(), [box](const NetworkStream& one) {
    return one.box == box && (one.flow > 0) == one.into_box;
  });
}

std::string streams_text(const Drawing& drawing) {
  std::string lines;
  std::string heads;
  for (std::size_t i = 0; i < drawing.graph.streams.size(); ++i) {
    const NetworkStream& stream = drawing.graph.streams[i];
    // Up to the sign of the node, which is narrower than its name.
    std::vector<PlanePoint> route = drawing.layout.routes[i];
    const double sign = drawing.layout.centers[drawing.graph.boxes.size() + stream.dot].first;
    (stream.into_box ? route.front() : route.back()).first = sign + (stream.into_box ? 4 : -4);
    const double width = drawing.links[i].width;
    const std::string kind = stream.reversed ? " reversed" : (stream.backward ? " backward" : "");
    lines += fmt::format("<path class=\"stream{}\" stroke-width=\"{:.1f}\" d=\"{}\"/>", kind, width,
                         route_path(route));
    // A head where the stream enters a box tells the direction; behind an inlet it stands at the node.
    const bool enters_box = (stream.flow > 0) == stream.into_box;
    const bool told =
        enters_box || (is_source(drawing.graph, stream.box) && !drawing.graph.dots[stream.dot].joint);
    if (stream.flow == 0.0 || !told) continue;
    heads += arrow_head(route, width, stream.flow > 0, "head" + kind);
  }
  return lines + heads;
}

std::string boxes_text(const Drawing& drawing) {
  std::string content;
  for (std::size_t b = 0; b < drawing.graph.boxes.size(); ++b) {
    const NetworkBox& box = drawing.graph.boxes[b];
    const auto& [x, y] = drawing.layout.centers[b];
    const LayoutVertex& size = drawing.vertices[b];
    content += svg_box(x - 0.5 * size.width, y - 0.5 * size.height, size.width, size.height,
                       "box " + box.kind + (box.reversed ? " reversed" : ""));
    content += svg_words(x, y - 3, "middle", box.name, "name");
    content += svg_words(x, y + 12, "middle", box_note(box), "flow");
  }
  return content;
}

std::string dots_text(const Drawing& drawing) {
  std::string content;
  for (std::size_t d = 0; d < drawing.graph.dots.size(); ++d) {
    const NetworkDot& dot = drawing.graph.dots[d];
    const auto& [x, y] = drawing.layout.centers[drawing.graph.boxes.size() + d];
    const double bar = drawing.bars[d];
    const char* style = dot.kind == network::NodeKind::plenum
                            ? "plenum"
                            : (dot.kind == network::NodeKind::fixed_pressure ? "fixed" : "joint");
    const std::string sign = svg_box(x - 5, y - 0.5 * bar, 10, bar, style);
    content += fmt::format("<g><title>{}</title>{}</g>", markup_text(dot.name), sign);
    if (!dot.joint) content += svg_words(x, y + 0.5 * bar + under_node, "middle", dot.name, "node");
  }
  return content;
}

std::string description(const NetworkGraph& graph) {
  std::string text;
  for (const NetworkBox& box : graph.boxes)
    text += fmt::format("{}{}: {}", text.empty() ? "" : "; ", box.name, box_note(box));
  return text;
}

}  // namespace

std::string network_picture(const model::Model& model, const studies::PointResult& point,
                            const std::string& loop) {
  const NetworkGraph graph = network_graph(model, point, loop);
  if (graph.streams.empty()) return {};
  const Drawing drawing = lay_out(graph);
  const std::string content = fmt::format("<g class=\"network{}\" transform=\"translate({} {})\">{}</g>",
                                          loop.empty() ? "" : " liquid", border, border,
                                          streams_text(drawing) + dots_text(drawing) + boxes_text(drawing));
  const std::string what = loop.empty() ? "The air's network" : "The network of the loop " + loop;
  return svg_picture(drawing.layout.width + 2 * border, drawing.layout.height + 2 * border, content,
                     {what + " at " + point.name, description(graph)});
}

}  // namespace corefeed::reports
