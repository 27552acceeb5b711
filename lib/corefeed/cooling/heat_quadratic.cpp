// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/heat_quadratic.hpp"

namespace corefeed::cooling {

HeatQuadratic::HeatQuadratic(std::span<const double> coldest, std::span<const double> hottest) {
  for (std::size_t i = 0; i < coldest.size(); ++i) {
    center_.push_back(0.5 * (coldest[i] + hottest[i]));
    half_.push_back(0.5 * (hottest[i] - coldest[i]));
  }
}

std::vector<std::vector<double>> HeatQuadratic::sites() const {
  std::vector<std::vector<double>> list{center_};
  for (std::size_t j = 0; j < loops(); ++j) {
    for (const double side : {1.0, -1.0}) {
      list.push_back(center_);
      list.back()[j] += side * half_[j];
    }
  }
  for (std::size_t j = 0; j < loops(); ++j) {
    for (std::size_t k = j + 1; k < loops(); ++k) {
      list.push_back(center_);
      list.back()[j] += half_[j];
      list.back()[k] += half_[k];
    }
  }
  return list;
}

std::vector<double> HeatQuadratic::coefficients(const std::vector<std::vector<double>>& heats) const {
  const std::size_t n = loops();
  std::vector<double> list;
  for (std::size_t i = 0; i < n; ++i) {
    const auto at = [&heats, i](std::size_t site) { return heats[site][i]; };
    std::vector<double> linear;
    std::vector<double> square;
    for (std::size_t j = 0; j < n; ++j) {
      linear.push_back(0.5 * (at(1 + 2 * j) - at(2 + 2 * j)));
      square.push_back(0.5 * (at(1 + 2 * j) + at(2 + 2 * j)) - at(0));
    }
    list.push_back(at(0));
    list.insert(list.end(), linear.begin(), linear.end());
    std::size_t pair = 1 + 2 * n;
    for (std::size_t j = 0; j < n; ++j) {
      list.push_back(square[j]);
      for (std::size_t k = j + 1; k < n; ++k)
        list.push_back(at(pair++) - at(0) - linear[j] - linear[k] - square[j] - square[k]);
    }
  }
  return list;
}

void HeatQuadratic::heat(std::span<const double> coefficients, std::span<const double> temperature,
                         std::span<double> heat) const {
  const std::size_t n = loops();
  const auto z = [&](std::size_t j) { return (temperature[j] - center_[j]) / half_[j]; };
  const double* term = coefficients.data();
  for (std::size_t i = 0; i < n; ++i) {
    double sum = *term++;
    for (std::size_t j = 0; j < n; ++j) sum += *term++ * z(j);
    for (std::size_t j = 0; j < n; ++j) {
      for (std::size_t k = j; k < n; ++k) sum += *term++ * z(j) * z(k);
    }
    heat[i] = sum;
  }
}

void HeatQuadratic::slopes(std::span<const double> coefficients, std::span<const double> temperature,
                           std::span<double> slopes) const {
  const std::size_t n = loops();
  const auto z = [&](std::size_t j) { return (temperature[j] - center_[j]) / half_[j]; };
  const double* term = coefficients.data();
  for (std::size_t i = 0; i < n; ++i) {
    double* row = slopes.data() + i * n;
    ++term;
    for (std::size_t j = 0; j < n; ++j) row[j] = *term++;
    for (std::size_t j = 0; j < n; ++j) {
      for (std::size_t k = j; k < n; ++k, ++term) {
        row[j] += *term * z(k);
        row[k] += *term * z(j);
      }
    }
    for (std::size_t j = 0; j < n; ++j) row[j] /= half_[j];
  }
}

}  // namespace corefeed::cooling
