// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "corefeed/cooling/effectiveness.hpp"
#include "corefeed/result.hpp"

/// Cores of several liquid passes, in depth (the air crosses them one after the other) or side by side in the
/// face (the air sees each once). Kays & London, Compact Heat Exchangers, 1984, ch. 2; Shah & Sekulic 2003,
/// ch. 3. Private to the library's sources.
namespace corefeed::cooling {

/// How the liquid climbs through passes in depth: against the air or with it.
enum class PassOrder { counter, parallel };

/// n equal passes of effectiveness e each, overall counterflow, both fluids mixed between passes:
/// (Z - 1)/(Z - C) with Z = ((1 - e C)/(1 - e))^n. Written as g/(1 + g), g = (Z - 1)/(1 - C) summed as a
/// geometric row, which has no 0/0 at C = 1.
template <class S>
S passes_counterflow(const Same<S>& one_pass, const Same<S>& capacity_ratio, int passes) {
  // A pass of effectiveness 1 leaves nothing to the next; 1 - 1e-12 differs from it in the twelfth digit.
  const S held = smaller<S>(one_pass, S(1.0 - 1e-12));
  const S gain = held / (1.0 - held);
  const S ratio = 1.0 + gain * (1.0 - capacity_ratio);
  S row = gain;
  for (int pass = 1; pass < passes; ++pass) row = S(row * ratio + gain);
  const S result = row / (1.0 + row);
  return result;
}

/// The same in overall parallel flow: (1/(1 + C)) [1 - (1 - e (1 + C))^n].
template <class S>
S passes_parallel(const Same<S>& one_pass, const Same<S>& capacity_ratio, int passes) {
  const S sum = 1.0 + capacity_ratio;
  const S left = 1.0 - one_pass * sum;
  S all = left;
  for (int pass = 1; pass < passes; ++pass) all = S(all * left);
  const S result = (1.0 - all) / sum;
  return result;
}

/// One shell pass and an even number of tube passes: 2/[1 + C + g coth(g N/2)], g = sqrt(1 + C^2)
/// (Incropera & DeWitt, table 11.3).
template <class S>
S shell_and_tube(const Same<S>& ntu, const Same<S>& capacity_ratio) {
  using std::exp;
  using std::sqrt;
  const S square = 1.0 + capacity_ratio * capacity_ratio;
  const S root = sqrt(square);
  const S decay = exp(S(-root * ntu));
  const S moved = 1.0 - decay;
  const S result = 2.0 * moved / ((1.0 + capacity_ratio) * moved + root * (1.0 + decay));
  return result;
}

/// Where the passes lie: behind each other in the air, or side by side.
enum class PassLayout { depth, face };

/// Of a core as a whole.
struct Layout {
  Arrangement arrangement = Arrangement::crossflow_both_unmixed;  ///< of one pass
  int passes = 1;
  PassOrder order = PassOrder::counter;  ///< of passes in depth
  PassLayout place = PassLayout::depth;
};

/// Effectiveness of passes in depth; `ntu` is that of the whole core, each pass has its n-th part.
template <class S>
S depth_effectiveness(const Layout& layout, const Same<S>& ntu, const Same<S>& capacity_ratio,
                      const Mask<S>& air_is_smallest) {
  const S part = ntu / static_cast<double>(layout.passes);
  const S one = effectiveness<S>(layout.arrangement, part, capacity_ratio, air_is_smallest);
  if (layout.passes == 1) return one;
  return layout.order == PassOrder::counter ? passes_counterflow<S>(one, capacity_ratio, layout.passes)
                                            : passes_parallel<S>(one, capacity_ratio, layout.passes);
}

/// A part of the face: one pass of the liquid with its own share of the air.
template <class S>
struct FaceZone {
  S air_capacity;  ///< W/K
  S conductance;   ///< UA, W/K
};

template <class S>
struct FaceMarch {
  S heat;        ///< W, into the air
  S liquid_out;  ///< K
  S air_out;     ///< K, mixed behind the core
  std::vector<S> heats;
};

/// Passes side by side in the face: the liquid runs from zone to zone, each zone is crossed by fresh air.
/// `liquid_capacity` W/K, temperatures in K; at least one zone.
template <class S>
FaceMarch<S> face_passes(Arrangement arrangement, std::span<const FaceZone<S>> zones,
                         const Same<S>& liquid_capacity, const Same<S>& liquid_in, const Same<S>& air_in) {
  FaceMarch<S> march;
  march.heat = S(0.0);
  march.liquid_out = liquid_in;
  march.heats.reserve(zones.size());
  S air_capacity(0.0);
  for (const FaceZone<S>& zone : zones) {
    const Mask<S> air_is_smallest = at_least<S>(liquid_capacity, zone.air_capacity);
    const S smallest = select<S>(air_is_smallest, zone.air_capacity, liquid_capacity);
    const S largest = select<S>(air_is_smallest, liquid_capacity, zone.air_capacity);
    const S ntu = zone.conductance / smallest;
    const S ratio = smallest / largest;
    const S share = effectiveness<S>(arrangement, ntu, ratio, air_is_smallest);
    const S heat = share * smallest * (march.liquid_out - air_in);
    march.liquid_out = S(march.liquid_out - heat / liquid_capacity);
    march.heat = S(march.heat + heat);
    air_capacity = S(air_capacity + zone.air_capacity);
    march.heats.push_back(heat);
  }
  march.air_out = air_in + march.heat / air_capacity;
  return march;
}

/// Zones by their shares of air and conductance; the shares of each kind sum to 1.
template <class S>
std::vector<FaceZone<S>> face_zones(const Same<S>& air_capacity, const Same<S>& conductance,
                                    std::span<const double> air_shares,
                                    std::span<const double> conductance_shares) {
  std::vector<FaceZone<S>> zones(air_shares.size());
  for (std::size_t i = 0; i < zones.size(); ++i) {
    zones[i].air_capacity = air_capacity * air_shares[i];
    zones[i].conductance = conductance * conductance_shares[i];
  }
  return zones;
}

/// Effectiveness of equal passes side by side, each with its part of air and conductance.
template <class S>
S face_effectiveness(const Layout& layout, const Same<S>& ntu, const Same<S>& capacity_ratio,
                     const Mask<S>& air_is_smallest) {
  // Smaller capacity 1, inlets 1 and 0: the heat is the effectiveness.
  const S largest = 1.0 / larger<S>(capacity_ratio, S(1e-9));
  const S air = select<S>(air_is_smallest, S(1.0), largest);
  const S liquid = select<S>(air_is_smallest, largest, S(1.0));
  const double part = 1.0 / layout.passes;
  const FaceZone<S> zone{S(air * part), S(ntu * part)};
  const std::vector<FaceZone<S>> zones(static_cast<std::size_t>(layout.passes), zone);
  return face_passes<S>(layout.arrangement, zones, liquid, S(1.0), S(0.0)).heat;
}

/// Effectiveness of the whole core by its NTU.
template <class S>
S layout_effectiveness(const Layout& layout, const Same<S>& ntu, const Same<S>& capacity_ratio,
                       const Mask<S>& air_is_smallest) {
  return layout.place == PassLayout::depth
             ? depth_effectiveness<S>(layout, ntu, capacity_ratio, air_is_smallest)
             : face_effectiveness<S>(layout, ntu, capacity_ratio, air_is_smallest);
}

/// NTU at which `layout_effectiveness` takes the value; an issue when the arrangement cannot reach it.
Result<double> ntu_of(const Layout& layout, double effectiveness, double capacity_ratio,
                      bool air_is_smallest);

}  // namespace corefeed::cooling
