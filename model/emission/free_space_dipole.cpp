#include "model/emission/free_space_dipole.hpp"

#include <cmath>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"

namespace ampturn::model::emission {

double wave_impedance_ohm() { return std::sqrt(mu0_h_per_m / eps0_f_per_m); }

DipoleField free_space_field(const DipolePlace& at) {
    check_range(at.moment_a_m2, "moment_a_m2", at_least(0));
    check_range(at.frequency_hz, "frequency_hz", more_than(0));
    check_range(at.distance_m, "distance_m", more_than(0));
    const double omega = 2 * pi * at.frequency_hz, r = at.distance_m;
    const double kr = omega * std::sqrt(mu0_h_per_m * eps0_f_per_m) * r;
    const double per_sphere = at.moment_a_m2 / (4 * pi * r * r);
    return {.axis_h_a_per_m = 2 * per_sphere / r * std::hypot(1, kr),
            .equator_h_a_per_m = per_sphere / r * std::hypot(1 - kr * kr, kr),
            .equator_e_v_per_m = omega * mu0_h_per_m * per_sphere * std::hypot(1, kr)};
}

}  // namespace ampturn::model::emission
