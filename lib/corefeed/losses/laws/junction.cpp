// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/end_keys.hpp"
#include "corefeed/losses/law.hpp"

namespace corefeed::losses {
namespace {

enum : std::size_t { common, straight, branch, angle, corner_radius, entrance_loss, loss_factor };

/// One stream that turns by `turn` into (or out of) another: what the turn leaves of the other's help,
/// cos(3/4 of the angle). Hager 1984, J. Fluids Eng. 106; Bassett, Winterbone & Pearson 2001, Proc. IMechE C
/// 215.
template <class S>
S turned(const Same<S>& turn) {
  using std::cos;
  return cos(S(0.75 * turn));
}

/// Velocities through the three ports, all with the sign of a flow from common to straight and branch, and
/// the constants of the shape. Every loss below is a form of second degree in them (over rho/2), so that all
/// vanish smoothly with the flow and any sign can be put in.
template <class S>
struct Streams {
  S common, straight, branch;      ///< m/s
  S straight_share, branch_share;  ///< area over the common port's
  S corner;                        ///< corner radius over the branch's diameter
};

/// Losses from the common port to the others, over rho/2.
template <class S>
struct Losses {
  S straight, branch;
};

/// What a rounded corner spares the stream that turns: 0.9 sqrt(r/D) of what it loses when all the flow
/// turns. After Gardel 1957, Bull. Tech. Suisse Romande 83.
template <class S>
S spared(const Streams<S>& v, const Same<S>& turn) {
  using std::sqrt;
  const S share = smaller<S>(S(0.9 * sqrt(S(v.corner + 1e-12))), S(0.7));
  const S through = v.branch * v.branch_share;
  const S lost = through * through + v.branch * v.branch - 2.0 * through * v.branch * turned<S>(turn);
  return share * lost;
}

inline constexpr double right_angle = 1.57079632679489662;

/// 0 for a wye of 60 degrees or less, 1 for a square tee.
template <class S>
S squareness(const Same<S>& turn) {
  return held_between<S>(S((turn - right_angle * 2.0 / 3.0) / (right_angle / 3.0)), 0.0, 1.0);
}

/// 0 for a narrow branch, up to 0.35 of the area, 1 for a wide one, from 0.5 on.
template <class S>
S wideness(const Same<S>& area_share) {
  return held_between<S>(S((area_share - 0.35) / 0.15), 0.0, 1.0);
}

/// x where it is positive, next to nothing where it is not, without a kink: rounded over a millimetre per
/// second.
template <class S>
S positive_part(const Same<S>& x) {
  const S size = rounded_magnitude<S>(x, still_velocity);
  // The same number twice; for negative x the sum would be the rounding of a difference.
  const S rising = 0.5 * (x + size);
  const S falling = 0.5 * still_velocity * still_velocity / (size - smaller<S>(x, S(0.0)));
  return select<S>(at_least<S>(x, S(0.0)), rising, falling);
}

/// Share of `part` in `whole`, 0 to 1, both positive when the flow has the direction in question. Where it
/// has not, any share does that changes smoothly: its form then fades or vanishes.
template <class S>
S share_of_flow(const Same<S>& part, const Same<S>& whole) {
  const S own = positive_part<S>(part);
  const S rest = positive_part<S>(S(whole - part));
  const S share = own / (own + rest);
  return share;
}

/// One run port feeds the other and the branch, on velocities of the feeding port `feed` and the run's other
/// port. Run: tau q^2 with tau 0.4 of a narrow branch, of a wide one 2 (2 q - 1) up to q = 0.5, 0.3 (2 q - 1)
/// beyond. Branch: A' (1 + x^2 - 2 x cos d), x = V_b/V_feed, A' 1.1 - 0.7 q, at least 0.85, of a narrow
/// branch, 1 - 0.6 q, at least 0.6, of a wide one (Idelchik, Handbook of Hydraulic Resistance, Diagrams 7-15
/// to 7-20); a wide branch at right angles by Hager's turn.
template <class S>
Losses<S> dividing(const Streams<S>& v, const Same<S>& feed, const Same<S>& turn) {
  using std::cos;
  const S through = v.branch * v.branch_share;
  const S q = share_of_flow<S>(through, feed);
  const S wide = wideness<S>(v.branch_share);
  const S excess = 2.0 * q - 1.0;
  const S wide_run = 2.0 * smaller<S>(excess, S(0.0)) + 0.3 * larger<S>(excess, S(0.0));
  const S run = 0.4 + wide * (wide_run - 0.4);
  const S narrow_factor = larger<S>(S(1.1 - 0.7 * q), S(0.85));
  const S wide_factor = larger<S>(S(1.0 - 0.6 * q), S(0.6));
  const S factor = narrow_factor + wide * (wide_factor - narrow_factor);
  const S both = feed * feed + v.branch * v.branch;
  const S wye = factor * (both - 2.0 * feed * v.branch * cos(turn));
  const S tee = both - 2.0 * feed * v.branch * turned<S>(turn);
  const S weight = wide * squareness<S>(turn);
  Losses<S> loss;
  loss.straight = run * through * through;
  loss.branch = wye + weight * (tee - wye) - spared<S>(v, turn);
  return loss;
}

/// Taliev's factor of the combining branch: 1 of a narrow branch, 0.9 (1 - q), at least 0.55, of a wide one.
template <class S>
S combining_factor(const Same<S>& area_share, const Same<S>& q) {
  const S wide = larger<S>(S(0.9 * (1.0 - q)), S(0.55));
  const S factor = 1.0 + wideness<S>(area_share) * (wide - 1.0);
  return factor;
}

/// Run port `feed` and the branch join into the run's other port `sink`: losses from feed to sink and from
/// branch to sink. Momentum balance after Levin and Taliev, with 1.55 q - q^2 for the run of a square tee.
/// Idelchik, Handbook of Hydraulic Resistance, Diagrams 7-1 to 7-4. `feed_share`, `sink_share`: areas over
/// the common port's. `sink` has the sign that the branch's velocity has when it flows in.
template <class S>
Losses<S> combining(const Streams<S>& v, const Same<S>& feed, const Same<S>& feed_share, const Same<S>& sink,
                    const Same<S>& sink_share, const Same<S>& turn) {
  using std::cos;
  using std::sqrt;
  const S into = v.branch;
  const S ratio = v.branch_share / sink_share;
  const S help = 2.0 * feed_share / sink_share * feed * feed + 2.0 * ratio * into * into * cos(turn);
  const S q = share_of_flow<S>(S(-into * ratio), S(-sink));
  Losses<S> loss;
  const S bent = larger<S>(S(1.0 - cos(turn) / ratio), S(0.0));
  const S rounding = sqrt(S(v.corner + 1e-12)) * bent * ratio * ratio * into * into;
  loss.branch = combining_factor<S>(ratio, q) * (sink * sink + into * into - help) - rounding;
  loss.straight =
      sink * sink + feed * feed - help - 0.45 * squareness<S>(turn) * sink * into * ratio - rounding;
  return loss;
}

/// One run port of a branch that both run ports feed, or that feeds both: `own` its velocity, `whole` the
/// velocity there if all the branch's flow went through it, `alone` the loss of that. Two equal streams:
/// Idelchik, Diagram 7-29, in the middle of what its editions give (joining 0.6 to 1 times the bracket,
/// dividing k = 0.3 welded to 1.5 threaded). So a run port without flow makes no difference to which way the
/// junction is read.
template <class S>
S opposed(const Streams<S>& v, const Same<S>& own, const Same<S>& whole, const Same<S>& alone, bool joining) {
  const S square = v.branch * v.branch;
  const S equal = joining ? S(0.8 * (square + whole * whole + 3.0 * own * own - 3.0 * own * whole))
                          : S(square + 0.9 * own * own);
  const double sense = joining ? 1.0 : -1.0;
  const S share = share_of_flow<S>(S(sense * own), S(sense * whole));
  const S one_sided = (2.0 * share - 1.0) * (2.0 * share - 1.0);
  const S loss = equal + one_sided * (alone - equal);
  return loss;
}

/// 1 when the flow at a port enters the junction, 0 when it leaves, smooth between.
template <class S>
S entering(const Same<S>& velocity) {
  using std::tanh;
  const S step = tanh(S(velocity / reversal_velocity));
  const S share = 0.5 * (1.0 + step);
  return share;
}

/// Losses over rho/2 for any directions of flow: the six ways in which three ports can feed each other, each
/// weighted by how far its directions hold.
template <class S>
Losses<S> any_way(const Streams<S>& v, const Same<S>& turn) {
  constexpr double half_turn = 3.14159265358979323846;
  const S back = half_turn - turn;
  const S c = entering<S>(v.common);
  const S s = entering<S>(S(-v.straight));
  const S b = entering<S>(S(-v.branch));
  const S nc = 1.0 - c;
  const S ns = 1.0 - s;
  const S nb = 1.0 - b;
  Losses<S> sum{S(0.0), S(0.0)};
  S weights(0.0);
  const auto add = [&](const S& weight, const S& to_straight, const S& to_branch) {
    sum.straight += weight * to_straight;
    sum.branch += weight * to_branch;
    weights += weight;
  };
  const Losses<S> from_common = dividing<S>(v, v.common, turn);
  add(c * ns * nb, from_common.straight, from_common.branch);
  const S reach = v.straight_share;
  // Seen from the straight port the branch turns the other way round and its area counts against that port's.
  Streams<S> turned_round = v;
  turned_round.branch_share = v.branch_share / v.straight_share;
  const Losses<S> from_straight = dividing<S>(turned_round, S(-v.straight), back);
  add(nc * s * nb, S(-from_straight.straight), S(from_straight.branch - from_straight.straight));
  const Losses<S> to_common = combining<S>(v, v.straight, reach, v.common, S(1.0), turn);
  add(nc * s * b, S(-to_common.straight), S(-to_common.branch));
  const Losses<S> to_straight = combining<S>(v, v.common, S(1.0), S(-v.straight), reach, back);
  add(c * ns * b, to_straight.straight, S(to_straight.straight - to_straight.branch));
  const S whole_common = v.branch * v.branch_share;
  const S whole_straight = whole_common / reach;
  const S joined_common = opposed<S>(v, v.common, whole_common, from_common.branch, true);
  const S joined_straight = opposed<S>(v, S(-v.straight), whole_straight, from_straight.branch, true);
  add(c * s * nb, S(joined_common - joined_straight), joined_common);
  const S none(0.0);
  const S only_common = combining<S>(v, none, none, v.common, S(1.0), turn).branch;
  const S only_straight = combining<S>(v, none, none, S(-v.straight), reach, back).branch;
  const S split_common = opposed<S>(v, v.common, whole_common, only_common, false);
  const S split_straight = opposed<S>(v, S(-v.straight), whole_straight, only_straight, false);
  add(nc * ns * b, S(split_straight - split_common), S(-split_common));
  return {S(sum.straight / weights), S(sum.branch / weights)};
}

/// Entrance and leaving heads where a leg's ports stand at plenums. Which of the two a port pays depends on
/// the flow through that port: at the common one the other leg's may go on while this leg's turns round.
template <class S>
S mouth_losses(const Input<S>& in, const Same<S>& common_head, const Same<S>& own_head) {
  const S zero(0.0);
  const S entering = in[entrance_loss];
  const S at_common = select<S>(at_least<S>(common_head, zero), entering, S(1.0)) * common_head;
  const S at_own = select<S>(at_least<S>(own_head, zero), S(1.0), entering) * own_head;
  return (in.from_plenum ? 1.0 : 0.0) * at_common + (in.to_plenum ? 1.0 : 0.0) * at_own;
}

struct Formula {
  template <class S>
  void operator()(const Input<S>& in, Terms<S>& out) const {
    const bool is_branch = in.leg == Leg::branch;
    const S other = in.sibling == nullptr ? S(0.0) : in.sibling->mass_flow;
    const S straight_flow = is_branch ? other : in.mass_flow;
    const S branch_flow = is_branch ? in.mass_flow : other;
    // One density for all ports and both legs, that of the whole flow where they meet.
    Input<S> whole_flow = in;
    whole_flow.mass_flow = straight_flow + branch_flow;
    const S rho = local_state<S>(whole_flow, in[common], in.pressure_from, in.temperature_from).density;
    Streams<S> v;
    v.common = (straight_flow + branch_flow) / (rho * in[common]);
    v.straight = straight_flow / (rho * in[straight]);
    v.branch = branch_flow / (rho * in[branch]);
    v.straight_share = in[straight] / in[common];
    v.branch_share = in[branch] / in[common];
    v.corner = larger<S>(S(in[corner_radius] / equivalent_diameter<S>(in[branch])), S(0.0));
    const Losses<S> losses = any_way<S>(v, in[angle]);
    const S lost = 0.5 * rho * (is_branch ? losses.branch : losses.straight);
    out.item[0] = in[loss_factor] * lost;
    const S own = is_branch ? v.branch : v.straight;
    const S own_head = 0.5 * rho * own * rounded_magnitude<S>(own, still_velocity);
    const S common_head = 0.5 * rho * v.common * rounded_magnitude<S>(v.common, still_velocity);
    out.item[1] = mouth_losses<S>(in, common_head, own_head);
    if (out.loss_alone) return;
    out.reported[0] = own;
    out.reported[1] = v.common;
    const S whole = 0.5 * rho * v.common * v.common;
    out.reported[2] = lost / larger<S>(whole, S(1e-9));
  }
};

std::vector<Key> keys() {
  return {area_key("areas.common", "A_c", "area of the port that carries the whole flow", 0.01),
          area_key("areas.straight", "A_s", "area of the port straight on", 0.01),
          area_key("areas.branch", "A_b", "area of the port at the side", 0.01),
          {.name = "angle",
           .symbol = "d",
           .quantity = units::Quantity::angle,
           .meaning = "angle by which flow from the common port turns into the branch",
           .need = Need::standard,
           .standard = 1.5707963267948966,
           .lowest = 0.1,
           .highest = 3.0},
          {.name = "corner_radius",
           .symbol = "r",
           .quantity = units::Quantity::length,
           .meaning = "radius of the corner between run and branch",
           .need = Need::standard,
           .standard = 0.0,
           .lowest = 0.0},
          entrance_loss_key(),
          loss_factor_key(0.20)};
}

}  // namespace

const Kind& junction_kind() {
  static const Kind kind{
      .name = "junction",
      .title = "Junction",
      .meaning = "a tee or Y where one duct divides into two or two join, whichever way the air goes",
      .ends = Ends::three_ports,
      .keys = keys(),
      .formula =
          "dividing: K_branch q_c = A' rho/2 (V_c^2 + V_b^2 - 2 V_c V_b cos d), square and wide rho/2 (V_c^2 "
          "+ "
          "V_b^2 - 2 V_c V_b cos 0.75 d), K_straight = tau q^2; combining: K_branch q_c = A rho/2 (V_c^2 + "
          "V_b^2 - 2 (A_s/A_c) "
          "V_s^2 - 2 (A_b/A_c) V_b^2 cos d), K_straight = 1.55 q - q^2 (square), 2 q - q^2 - 2 q^2 (A_c/A_b) "
          "cos d (to 60 deg); A = 1 for a branch up to 0.35 of the area, 0.9 (1 - q), at least 0.55, from "
          "0.5 "
          "on; both run ports into the branch: 0.8 (1 + (A_b/A_i)^2 (1 + 3 x^2 - 3 x)), out of it: 1 + 0.9 "
          "(V_i/V_b)^2; a rounded corner spares 0.9 sqrt(r/D) of the turn",
      .reference =
          "common port, density where the streams meet; K may be negative: the fast stream drives the slow",
      .reversed =
          "each of the six ways three ports can feed each other has its own form, blended over 0.5 m/s",
      .range = "angles from 30 to 90 degrees, branch no larger than the run, Re above 1e4",
      .ranges = {{"angle", 0.5, 1.6, "is outside the angles that were tested"}},
      .band = 0.20,
      .source =
          "dividing: Hager 1984, J. Fluids Eng. 106, and Bassett, Winterbone & Pearson 2001, Proc. IMechE C "
          "215; combining: Levin and Taliev in Idelchik, Handbook of Hydraulic Resistance, Diagrams 7-1 to "
          "7-4; corner: Gardel 1957",
      .tag = Tag::from_memory,
      .reported = {{"velocity", units::Quantity::velocity, "mean velocity in this leg's port"},
                   {"common_velocity", units::Quantity::velocity, "mean velocity in the common port"},
                   {"loss_coefficient", units::Quantity::number, "K of this leg on the common port's head"}},
      .items = {"junction", "entrance and exit"},
      .pays_entrance = true,
      .dumps_head = true,
      .monotone = false,
      .law = law_of<Formula>(),
      .example = {.numbers = {{"areas.common", 0.02}, {"areas.straight", 0.02}, {"areas.branch", 0.01}},
                  .velocity = 12.0,
                  .area = 0.02,
                  .branch_share = 0.3}};
  return kind;
}

}  // namespace corefeed::losses
