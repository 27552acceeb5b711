// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/section_tree.hpp"

#include <algorithm>
#include <numeric>

namespace corefeed::geometry {
namespace {

constexpr int leaf_size = 6;

}  // namespace

SectionTree::SectionTree(const WallMesh& mesh) : order_(mesh.triangles.size()) {
  std::iota(order_.begin(), order_.end(), 0);
  std::vector<Vec3> low;
  std::vector<Vec3> high;
  for (const WallTriangle& triangle : mesh.triangles) {
    const Vec3& a = mesh.points[static_cast<std::size_t>(triangle.corners[0])];
    const Vec3& b = mesh.points[static_cast<std::size_t>(triangle.corners[1])];
    const Vec3& c = mesh.points[static_cast<std::size_t>(triangle.corners[2])];
    low.push_back(a.cwiseMin(b).cwiseMin(c));
    high.push_back(a.cwiseMax(b).cwiseMax(c));
  }
  if (!order_.empty()) build(0, static_cast<int>(order_.size()), low, high);
}

int SectionTree::build(int first, int count, const std::vector<Vec3>& low, const std::vector<Vec3>& high) {
  Vec3 box_low = low[static_cast<std::size_t>(order_[static_cast<std::size_t>(first)])];
  Vec3 box_high = box_low;
  for (int i = first; i < first + count; ++i) {
    const auto triangle = static_cast<std::size_t>(order_[static_cast<std::size_t>(i)]);
    box_low = box_low.cwiseMin(low[triangle]);
    box_high = box_high.cwiseMax(high[triangle]);
  }
  const int self = static_cast<int>(nodes_.size());
  nodes_.push_back({0.5 * (box_low + box_high), 0.5 * (box_high - box_low), first, count, -1});
  if (count <= leaf_size) return self;
  Eigen::Index axis = 0;
  (box_high - box_low).maxCoeff(&axis);
  const auto begin = order_.begin() + first;
  const int left = count / 2;
  std::nth_element(begin, begin + left, begin + count, [&](int a, int b) {
    const auto i = static_cast<std::size_t>(a);
    const auto j = static_cast<std::size_t>(b);
    const double at_a = low[i][axis] + high[i][axis];
    const double at_b = low[j][axis] + high[j][axis];
    return at_a != at_b ? at_a < at_b : a < b;
  });
  build(first, left, low, high);
  const int right = build(first + left, count - left, low, high);
  nodes_[static_cast<std::size_t>(self)].count = 0;
  nodes_[static_cast<std::size_t>(self)].right = right;
  return self;
}

std::vector<int> SectionTree::near(const CutPlane& plane) const {
  std::vector<int> found;
  std::vector<int> stack;
  if (!nodes_.empty()) stack.push_back(0);
  const Vec3 spread = plane.normal.cwiseAbs();
  while (!stack.empty()) {
    const int self = stack.back();
    stack.pop_back();
    const Node& node = nodes_[static_cast<std::size_t>(self)];
    const double reach = spread.dot(node.half) * (1 + 1e-12);
    if (std::abs(plane.height(node.center)) > reach + 1e-12) continue;
    if (node.count == 0) {
      stack.push_back(self + 1);
      stack.push_back(node.right);
      continue;
    }
    for (int i = node.first; i < node.first + node.count; ++i) {
      found.push_back(order_[static_cast<std::size_t>(i)]);
    }
  }
  std::sort(found.begin(), found.end());
  return found;
}

}  // namespace corefeed::geometry
