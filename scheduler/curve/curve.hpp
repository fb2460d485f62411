#pragma once

#include <chrono>
#include <complex>
#include <optional>
#include <string>
#include <vector>

#include "model/ground/tensor.hpp"

namespace ampturn::plan {
struct Plan;
}

namespace ampturn::curve {

/// Parts of an impedance are given to this share of the power of ten of its largest element, and of a tipper to this of
/// one: further digits are what is left of terms that cancel, and differ from machine to machine.
inline constexpr double cancellation_floor_rel = 1e-9;

/// What a station would record of each frequency with the plan's own loops and no noise, beside the plane
/// wave over the same ground, the station's own. x north, y east, e^{+i omega t}; tipper Hz = tx Hx + ty Hy.
struct CurvePoint {
    double frequency_hz;
    model::ground::ImpedanceTensor impedance;
    std::complex<double> tipper_x, tipper_y;
    model::ground::SoundingPoint xy, yx;
    std::complex<double> plane_impedance_ohm;
    double plane_resistivity_ohm_m, plane_phase_deg;
    model::ground::PlaneWaveBias bias_xy, bias_yx;
    model::ground::Zone zone;       // the worse of xy and yx, by the plan's tolerances
    double offset_over_skin_depth;  // of the plane wave's apparent resistivity
};

struct StationCurve {
    std::string station, site;
    double dipole_m;  // of Ex and Ey
    double offset_m, bearing_deg;
    double x_m, y_m;  // in the plan's own plane
    std::optional<double> latitude_deg, longitude_deg;
    std::vector<CurvePoint> points;  // frequencies falling
};

struct Curve {
    std::string survey_name;
    bool invented;
    std::chrono::year_month_day date;
    std::string plan_file;
    std::vector<StationCurve> stations;
};

/// threads >= 1; results do not depend on it.
Curve curve_of(const plan::Plan& plan, unsigned threads = 1);

}  // namespace ampturn::curve
