// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/margins.hpp"

// Boost.Math 1.74 needs the C header first.
#include <math.h>

#include <boost/math/tools/toms748_solve.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include "corefeed/studies/troubled_case.hpp"

namespace corefeed::studies {
namespace {

struct Row {
  std::string_view name;
  double none, most;
};
// The last column (bounds of ours) is as far as a margin says anything: nobody runs on with nine tenths of a
// core shut.
constexpr std::array<Row, trouble_count> rows{{{"rise of Cp at every vent", 0.0, 2.0},
                                               {"share of every screen's open area closed", 0.0, 0.95},
                                               {"share of every core's face closed", 0.0, 0.9},
                                               {"share of the dynamic head lost in traffic", 0.0, 0.95},
                                               {"factor on every leak's area", 1.0, 20.0}}};
const Row& row_of(Trouble trouble) { return rows[static_cast<std::size_t>(trouble)]; }

/// Finer where little of it is needed, which is where it matters.
std::vector<double> amounts(Trouble trouble) {
  constexpr int steps = 24;
  const Row& row = row_of(trouble);
  std::vector<double> list;
  for (int i = 0; i <= steps; ++i) {
    const double share = static_cast<double>(i) / steps;
    list.push_back(row.none + (row.most - row.none) * share * share);
  }
  return list;
}

/// The first crossing between two amounts, at the end where the thing has gone wrong.
double crossing(TroubledCase& car, std::size_t target, std::array<double, 2> amount,
                std::array<double, 2> left) {
  if (left[1] == 0.0) return amount[1];
  const auto remaining = [&](double value) { return car.set(value) ? car.left(target) : left[1]; };
  std::uintmax_t steps = 60;
  const auto [low, high] =
      boost::math::tools::toms748_solve(remaining, amount[0], amount[1], left[0], left[1],
                                        boost::math::tools::eps_tolerance<double>(30), steps);
  return 0.5 * (low + high);
}

Margin margin_of(const TroubledCase::Target& target, Trouble trouble, const std::string& point) {
  Margin margin;
  margin.until = target.until;
  margin.trouble = trouble;
  margin.name = target.name;
  margin.point = point;
  return margin;
}

/// The targets of one point along one trouble.
class Course {
 public:
  Course(TroubledCase& car, Trouble trouble, const std::string& point) : car_(car) {
    for (const TroubledCase::Target& target : car.targets())
      margins_.push_back(margin_of(target, trouble, point));
  }

  /// To an amount that has a steady state, solved: notes what has gone wrong since the last one.
  void reach(double amount) {
    std::vector<double> now;
    for (std::size_t t = 0; t < margins_.size(); ++t) now.push_back(car_.left(t));
    for (std::size_t t = 0; t < margins_.size(); ++t) {
      if (margins_[t].amount || now[t] > 0.0) continue;
      margins_[t].from_the_start = !begun_;
      margins_[t].amount = begun_ ? crossing(car_, t, {before_, amount}, {left_[t], now[t]}) : amount;
    }
    begun_ = true;
    before_ = amount;
    left_ = std::move(now);
  }

  /// No steady state was found at an amount. What gives way on the way there is looked for once more, up to
  /// the last amount that has one.
  void end(double amount) {
    double with = begun_ ? before_ : amount;
    constexpr int halvings = 3;
    for (int i = 0; begun_ && i < halvings; ++i) {
      const double middle = 0.5 * (with + amount);
      if (!car_.set(middle)) {
        amount = middle;
        continue;
      }
      reach(middle);
      with = middle;
    }
    for (Margin& margin : margins_) {
      if (!margin.amount) margin.lost_beyond = with;
    }
  }

  std::vector<Margin> take() { return std::move(margins_); }

 private:
  TroubledCase& car_;
  std::vector<Margin> margins_;
  bool begun_ = false;
  double before_ = 0;         ///< amount
  std::vector<double> left_;  ///< there
};

std::vector<Margin> along(TroubledCase& car, Trouble trouble, const std::string& point) {
  Course course(car, trouble, point);
  for (const double amount : amounts(trouble)) {
    if (!car.set(amount)) {
      course.end(amount);
      break;
    }
    course.reach(amount);
  }
  return course.take();
}

/// Where it goes wrong, or where there is no telling any more.
double place_of(const Margin& margin) {
  return margin.amount.value_or(margin.lost_beyond.value_or(row_of(margin.trouble).most));
}

/// Of all streams, the one that turns round first stands for all.
void keep_first_reversal(std::vector<Margin>& margins) {
  const auto is_reversal = [](const Margin& one) { return one.until == Margin::Until::reversal; };
  const auto first = std::find_if(margins.begin(), margins.end(), is_reversal);
  if (first == margins.end()) return;
  Margin kept = *std::min_element(first, margins.end(), [](const Margin& a, const Margin& b) {
    return std::pair(place_of(a), !a.amount) < std::pair(place_of(b), !b.amount);
  });
  if (!kept.amount) kept.name.clear();
  margins.erase(first, margins.end());
  margins.push_back(std::move(kept));
}

/// Keeps of each thing the point where it goes wrong first.
void merge(std::vector<Margin>& all, std::vector<Margin> more) {
  for (Margin& one : more) {
    const auto same = std::find_if(all.begin(), all.end(), [&one](const Margin& other) {
      const bool named = one.until == Margin::Until::reversal || one.name == other.name;
      return one.until == other.until && named;
    });
    if (same == all.end()) {
      all.push_back(std::move(one));
    } else if (place_of(one) < place_of(*same) || (place_of(one) == place_of(*same) && !same->amount)) {
      *same = std::move(one);
    }
  }
}

/// Requirements in the model's order, then cores, then the reversal.
void put_in_order(const model::Model& model, std::vector<Margin>& margins) {
  const auto place = [&model](const Margin& margin) {
    std::size_t rank = 0;
    while (rank < model.requirements.size() && model.requirements[rank].name != margin.name) ++rank;
    return std::pair(static_cast<int>(margin.until), rank);
  };
  std::stable_sort(margins.begin(), margins.end(),
                   [&place](const Margin& a, const Margin& b) { return place(a) < place(b); });
}

}  // namespace

std::string_view trouble_name(Trouble trouble) { return row_of(trouble).name; }
double trouble_none(Trouble trouble) { return row_of(trouble).none; }
double trouble_most(Trouble trouble) { return row_of(trouble).most; }

Margins margins_of(const model::Model& model, const StudyOptions& options) {
  Margins all;
  for (int which = 0; which < trouble_count; ++which) {
    const Trouble trouble = static_cast<Trouble>(which);
    std::vector<Margin> of_trouble;
    bool concerns = false;
    for (const model::Point& point : model.points) {
      if (!is_wanted(options.points, point.name)) continue;
      TroubledCase car(model, point, trouble, options.solver);
      concerns = concerns || car.concerns();
      if (!car.concerns()) continue;
      std::vector<Margin> margins = along(car, trouble, point.name);
      keep_first_reversal(margins);
      merge(of_trouble, std::move(margins));
    }
    if (!concerns) all.without.push_back(trouble);
    put_in_order(model, of_trouble);
    all.margins.insert(all.margins.end(), of_trouble.begin(), of_trouble.end());
  }
  return all;
}

const Margin* first_of(const Margins& margins, Trouble trouble) {
  const Margin* first = nullptr;
  for (const Margin& one : margins.margins) {
    if (one.trouble != trouble || !one.amount || one.from_the_start) continue;
    if (first == nullptr || *one.amount < *first->amount) first = &one;
  }
  return first;
}

}  // namespace corefeed::studies
