// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/layered_layout.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace corefeed::reports {
namespace {

constexpr double between_layers = 22;
constexpr double between_vertices = 12;
constexpr int sweeps = 12;

/// The graph with a place holder wherever a link passes a layer.
struct Layers {
  std::vector<LayoutVertex> vertices;            ///< the caller's first
  std::vector<std::size_t> layer;                ///< by vertex
  std::vector<std::vector<std::size_t>> order;   ///< by layer: its vertices from top to bottom
  std::vector<std::vector<std::size_t>> chains;  ///< by link: its vertices from left to right
  std::vector<std::vector<std::size_t>> before;  ///< by vertex: neighbors to the left
  std::vector<std::vector<std::size_t>> after;
};

std::vector<std::size_t> layers_of(const std::vector<LayoutVertex>& vertices,
                                   const std::vector<LayoutLink>& links) {
  std::vector<std::size_t> layer(vertices.size(), 0);
  // Relaxed once per vertex: enough for the longest way, and an end where the caller left a cycle.
  for (std::size_t round = 0; round < vertices.size(); ++round) {
    for (const LayoutLink& link : links) layer[link.to] = std::max(layer[link.to], layer[link.from] + 1);
  }
  const std::size_t last = layer.empty() ? 0 : *std::max_element(layer.begin(), layer.end());
  for (std::size_t v = 0; v < vertices.size(); ++v) {
    if (vertices[v].last) layer[v] = last;
  }
  return layer;
}

Layers split_links(const std::vector<LayoutVertex>& vertices, const std::vector<LayoutLink>& links) {
  Layers layers;
  layers.vertices = vertices;
  layers.layer = layers_of(vertices, links);
  for (const LayoutLink& link : links) {
    std::vector<std::size_t> chain{link.from};
    for (std::size_t l = layers.layer[link.from] + 1; l < layers.layer[link.to]; ++l) {
      chain.push_back(layers.vertices.size());
      layers.vertices.push_back({0, link.width, false});
      layers.layer.push_back(l);
    }
    chain.push_back(link.to);
    layers.chains.push_back(std::move(chain));
  }
  layers.before.resize(layers.vertices.size());
  layers.after.resize(layers.vertices.size());
  for (const std::vector<std::size_t>& chain : layers.chains) {
    for (std::size_t i = 1; i < chain.size(); ++i) {
      layers.after[chain[i - 1]].push_back(chain[i]);
      layers.before[chain[i]].push_back(chain[i - 1]);
    }
  }
  return layers;
}

/// The first order: as met when walking from the left edge, so that what belongs together stands together.
void walk(Layers& layers, std::size_t vertex, std::vector<bool>& met) {
  if (met[vertex]) return;
  met[vertex] = true;
  layers.order[layers.layer[vertex]].push_back(vertex);
  for (const std::size_t next : layers.after[vertex]) walk(layers, next, met);
}

void first_order(Layers& layers) {
  const std::size_t count =
      layers.layer.empty() ? 0 : *std::max_element(layers.layer.begin(), layers.layer.end()) + 1;
  layers.order.assign(count, {});
  std::vector<bool> met(layers.vertices.size(), false);
  for (std::size_t v = 0; v < layers.vertices.size(); ++v) {
    if (layers.before[v].empty()) walk(layers, v, met);
  }
  for (std::size_t v = 0; v < layers.vertices.size(); ++v) walk(layers, v, met);
}

std::vector<double> places(const Layers& layers) {
  std::vector<double> place(layers.vertices.size(), 0.0);
  for (const auto& row : layers.order) {
    for (std::size_t i = 0; i < row.size(); ++i) place[row[i]] = static_cast<double>(i);
  }
  return place;
}

double mean_of(const std::vector<std::size_t>& neighbors, const std::vector<double>& place,
               double otherwise) {
  if (neighbors.empty()) return otherwise;
  double sum = 0;
  for (const std::size_t one : neighbors) sum += place[one];
  return sum / static_cast<double>(neighbors.size());
}

std::size_t crossings(const Layers& layers) {
  const std::vector<double> place = places(layers);
  std::size_t count = 0;
  for (const auto& row : layers.order) {
    std::vector<PlanePoint> ends;
    for (const std::size_t v : row) {
      for (const std::size_t next : layers.after[v]) ends.emplace_back(place[v], place[next]);
    }
    for (std::size_t i = 0; i < ends.size(); ++i) {
      for (std::size_t j = i + 1; j < ends.size(); ++j)
        count += (ends[i].first - ends[j].first) * (ends[i].second - ends[j].second) < 0 ? 1U : 0U;
    }
  }
  return count;
}

void sort_by_neighbors(Layers& layers) {
  std::vector<std::vector<std::size_t>> best = layers.order;
  std::size_t fewest = crossings(layers);
  for (int sweep = 0; sweep < sweeps && fewest > 0; ++sweep) {
    const bool rightward = sweep % 2 == 0;
    for (std::size_t i = 0; i < layers.order.size(); ++i) {
      auto& row = layers.order[rightward ? i : layers.order.size() - 1 - i];
      const std::vector<double> place = places(layers);
      std::vector<double> mean(layers.vertices.size());
      for (const std::size_t v : row)
        mean[v] = mean_of(rightward ? layers.before[v] : layers.after[v], place, place[v]);
      std::stable_sort(row.begin(), row.end(),
                       [&mean](std::size_t a, std::size_t b) { return mean[a] < mean[b]; });
    }
    const std::size_t now = crossings(layers);
    if (now >= fewest) continue;
    fewest = now;
    best = layers.order;
  }
  layers.order = best;
}

/// The places closest to the wished ones (least squares) at which a layer's vertices do not touch: where
/// wishes collide, the colliding block moves to its mean.
void settle(const Layers& layers, const std::vector<std::size_t>& row, const std::vector<double>& wish,
            std::vector<double>& y) {
  struct Block {
    double sum;
    std::size_t count;
    double mean() const { return sum / static_cast<double>(count); }
  };
  std::vector<double> offset(row.size(), 0.0);
  for (std::size_t i = 1; i < row.size(); ++i) {
    offset[i] = offset[i - 1] + between_vertices +
                0.5 * (layers.vertices[row[i - 1]].height + layers.vertices[row[i]].height);
  }
  std::vector<Block> blocks;
  for (std::size_t i = 0; i < row.size(); ++i) {
    blocks.push_back({wish[row[i]] - offset[i], 1});
    while (blocks.size() > 1 && blocks[blocks.size() - 2].mean() > blocks.back().mean()) {
      const Block last = blocks.back();
      blocks.pop_back();
      blocks.back().sum += last.sum;
      blocks.back().count += last.count;
    }
  }
  std::size_t i = 0;
  for (const Block& block : blocks) {
    for (std::size_t k = 0; k < block.count; ++k, ++i) y[row[i]] = block.mean() + offset[i];
  }
}

std::vector<double> heights_of(const Layers& layers) {
  std::vector<double> y(layers.vertices.size(), 0.0);
  for (const auto& row : layers.order) settle(layers, row, std::vector<double>(y.size(), 0.0), y);
  for (int sweep = 0; sweep < sweeps; ++sweep) {
    const bool rightward = sweep % 2 == 0;
    for (std::size_t i = 0; i < layers.order.size(); ++i) {
      const auto& row = layers.order[rightward ? i : layers.order.size() - 1 - i];
      std::vector<double> wish = y;
      for (const std::size_t v : row) {
        std::vector<std::size_t> neighbors = rightward ? layers.before[v] : layers.after[v];
        if (neighbors.empty()) neighbors = rightward ? layers.after[v] : layers.before[v];
        wish[v] = mean_of(neighbors, y, y[v]);
      }
      settle(layers, row, wish, y);
    }
  }
  double top = 0;
  for (std::size_t v = 0; v < y.size(); ++v) top = std::min(top, y[v] - 0.5 * layers.vertices[v].height);
  for (double& one : y) one -= top;
  return y;
}

/// Lanes of the links at one side of each vertex: stacked by where they lead, so that lines side by side do
/// not cover one another.
std::vector<double> lanes(const Layers& layers, const std::vector<LayoutLink>& links,
                          const std::vector<double>& y, bool leaving) {
  std::vector<double> lane(links.size(), 0.0);
  std::vector<std::vector<std::size_t>> at(layers.vertices.size());
  for (std::size_t i = 0; i < links.size(); ++i) at[leaving ? links[i].from : links[i].to].push_back(i);
  for (std::vector<std::size_t>& here : at) {
    const auto far = [&](std::size_t link) {
      const auto& chain = layers.chains[link];
      return y[leaving ? chain[1] : chain[chain.size() - 2]];
    };
    std::stable_sort(here.begin(), here.end(), [&](std::size_t a, std::size_t b) { return far(a) < far(b); });
    constexpr double apart = 3;
    double total = -apart;
    for (const std::size_t link : here) total += links[link].width + apart;
    double next = -0.5 * total;
    for (const std::size_t link : here) {
      lane[link] = next + 0.5 * links[link].width;
      next += links[link].width + apart;
    }
  }
  return lane;
}

}  // namespace

Layout layered_layout(const std::vector<LayoutVertex>& vertices, const std::vector<LayoutLink>& links) {
  Layers layers = split_links(vertices, links);
  first_order(layers);
  sort_by_neighbors(layers);
  const std::vector<double> y = heights_of(layers);
  std::vector<double> left(layers.order.size() + 1, 0.0);
  for (std::size_t l = 0; l < layers.order.size(); ++l) {
    double widest = 0;
    for (const std::size_t v : layers.order[l]) widest = std::max(widest, layers.vertices[v].width);
    left[l + 1] = left[l] + widest + between_layers;
  }
  const auto right = [&](std::size_t layer) { return left[layer + 1] - between_layers; };
  Layout layout;
  for (std::size_t v = 0; v < vertices.size(); ++v) {
    layout.centers.emplace_back(0.5 * (left[layers.layer[v]] + right(layers.layer[v])), y[v]);
    layout.height = std::max(layout.height, y[v] + 0.5 * vertices[v].height);
  }
  layout.width = layers.order.empty() ? 0 : left.back() - between_layers;
  const std::vector<double> leaving = lanes(layers, links, y, true);
  const std::vector<double> arriving = lanes(layers, links, y, false);
  for (std::size_t i = 0; i < links.size(); ++i) {
    const std::vector<std::size_t>& chain = layers.chains[i];
    std::vector<PlanePoint> route{{layout.centers[chain.front()].first + 0.5 * vertices[chain.front()].width,
                                   y[chain.front()] + leaving[i]}};
    // Straight to the edge of its own layer first: what is wider than the vertex stands above or below.
    route.emplace_back(right(layers.layer[chain.front()]), route.back().second);
    for (std::size_t k = 1; k + 1 < chain.size(); ++k) {
      route.emplace_back(left[layers.layer[chain[k]]], y[chain[k]]);
      route.emplace_back(right(layers.layer[chain[k]]), y[chain[k]]);
    }
    const double end = y[chain.back()] + arriving[i];
    route.emplace_back(left[layers.layer[chain.back()]], end);
    route.emplace_back(layout.centers[chain.back()].first - 0.5 * vertices[chain.back()].width, end);
    for (const PlanePoint& point : route)
      layout.height = std::max(layout.height, point.second + links[i].width);
    layout.routes.push_back(std::move(route));
  }
  return layout;
}

}  // namespace corefeed::reports
