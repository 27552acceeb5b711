// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace corefeed::fluids {

/// Saturation of water by IAPWS-IF97, region 4 (R7-97(2012), equations 30 and 31). Pa, K.
/// Held up to the critical point; below the triple point the equations go on smoothly over supercooled
/// water, used here down to 233 K. NaN outside.
double water_saturation_pressure(double temperature);
/// d/dT of `water_saturation_pressure`, Pa/K.
double water_saturation_slope(double temperature);
double water_saturation_temperature(double pressure);

}  // namespace corefeed::fluids
