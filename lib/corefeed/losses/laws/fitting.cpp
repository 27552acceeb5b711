// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/bore.hpp"
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/law.hpp"

namespace corefeed::losses {
namespace {

enum : std::size_t { style, bore, loss_factor };

/// Two constants of a fitting: K = slow/Re + fast (1 + 25.4 mm / D).
struct TwoK {
  std::string_view name;
  double slow;
  double fast;
  bool scaled;  ///< an entrance or exit does not depend on the bore
};

/// Hooper 1981, Chem. Eng. 88(17):96; the constants from memory. Valves full open.
constexpr std::array<TwoK, 16> fittings{{{"elbow_90_screwed", 800, 0.40, true},
                                         {"elbow_90_flanged", 800, 0.25, true},
                                         {"elbow_90_long_radius", 800, 0.20, true},
                                         {"elbow_90_mitre", 1000, 1.15, true},
                                         {"elbow_45", 500, 0.20, true},
                                         {"tee_branch", 500, 0.70, true},
                                         {"tee_run", 200, 0.10, true},
                                         {"ball_valve", 300, 0.10, true},
                                         {"gate_valve", 300, 0.10, true},
                                         {"globe_valve", 1500, 4.00, true},
                                         {"butterfly_valve", 800, 0.25, true},
                                         {"swing_check_valve", 1500, 1.50, true},
                                         {"lift_check_valve", 2000, 10.0, true},
                                         {"diaphragm_valve", 1000, 2.00, true},
                                         {"sharp_entrance", 160, 0.50, false},
                                         {"exit", 0, 1.00, false}}};

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const S area = circle_area<S>(in[bore]);
    const Local<S> local = upwind<S>(in, area);
    const S reynolds = reynolds_of<S>(in, local, in[bore]);
    const TwoK& row = fittings[static_cast<std::size_t>(in.choice(style))];
    constexpr double inch = 0.0254;
    const S size = row.scaled ? S(1.0 + inch / in[bore]) : S(1.0);
    const S coefficient = in[loss_factor] * (row.slow / reynolds + row.fast * size);
    out.item[0] = coefficient * local.head;
    if (out.loss_alone) return;
    out.reported[0] = local.velocity;
    out.reported[1] = reynolds;
    out.reported[2] = coefficient;
  }
};

std::vector<Key> keys() {
  Key which{.name = "style", .meaning = "which fitting"};
  for (const TwoK& row : fittings) which.choices.push_back(row.name);
  return {which, bore_key("inner diameter", 0.02), loss_factor_key(0.25)};
}

}  // namespace

const Kind& fitting_kind() {
  static const Kind kind{
      .name = "fitting",
      .title = "Fitting",
      .meaning = "an elbow, tee or valve of a hose line",
      .carries = Carries::either,
      .keys = keys(),
      .formula = "K = K1/Re + K_inf (1 + 25.4 mm / D), K1 and K_inf of the fitting",
      .reference = "bore, upwind density",
      .reversed = "the same with the other sign",
      .range =
          "every Reynolds number; bores of pipes and hoses; spacing from other fittings above 5 diameters",
      .ranges = {{"bore", 0.004, 0.3, "is beyond the bores that were tested"}},
      .band = 0.25,
      .source = "Hooper 1981, Chem. Eng. 88(17):96",
      .tag = Tag::from_memory,
      .reported = {{"velocity", units::Quantity::velocity, "mean velocity"},
                   {"reynolds", units::Quantity::number, "Reynolds number on the bore"},
                   {"loss_coefficient", units::Quantity::number, "K on the bore's head"}},
      .items = {"fitting"},
      .law = law_of<Formula>(),
      .example = {.numbers = {{"style", 0}, {"bore", 0.025}}, .velocity = 10.0, .area = 0.000490874}};
  return kind;
}

}  // namespace corefeed::losses
