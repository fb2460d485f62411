#pragma once

#include <complex>
#include <cstddef>
#include <memory>
#include <vector>

#include "model/base/lane_count.hpp"
#include "model/contours/node_arrays.hpp"

namespace ampturn::model::contours {

/// Offsets that share a contour, a band, reach from 1/w to w times the band's reference, w = 2^{3/4}; this is
/// ln w^2. The next band begins where one ends.
inline constexpr double band_log_width = 1.0397207708399179;

/// Few nodes, good to 1e-8 or so; or more, good to 1e-12.
enum class BandAccuracy { fast, fine };

/// A contour for int_0^inf K(lambda) J_n(lambda r) d lambda whose nodes the bands of one frequency share, in
/// zeta = lambda times the band's reference. Two rays from the origin carry it: on the rising one, in the first
/// quadrant, stands J_n as far as the corner and half H1 beyond; half H2 leaves the corner for the falling one, below
/// the real axis, by a straight line of one panel. The ends of panels on a ray are a whole number of steps to a
/// band's width apart, so the panels of one band, seen from the next, are panels again.
/// Where singularities near the real axis lie too far right for that line, half H2 runs level above them and
/// then down a ray of its own. Source of the idea: Sommerfeld (1949), section 31.
struct BandShape {
    double rise_deg, corner;  // of the rising ray; |zeta| of the corner
    int rise_order;           // of the Gauss-Legendre rule of a panel; one panel to a band's width
    int j_panels;             // below the corner, summed for each offset; lower ones as powers of the offset
    double low_end;           // |zeta| of the last panel end before 0
    double fall_deg, fall_start;
    int fall_order, fall_steps;   // panels to a band's width
    double line_reach;            // the line serves while the singularities end left of this
    int line_order, level_order;  // of the line and of a level panel
    double level_panel;           // length of level panels
    double own_deg;               // of the ray after them, its panels and their order
    double own_panel, own_growth;
    int own_order;
    double decay;  // the rays end where the carrier is e^{-decay}
};

/// The shape results are computed with, and an unlike one (other corner, angles, panels and orders) to compare.
const BandShape& band_shape(BandAccuracy accuracy, bool check);

/// Nodes and weights of one panel.
struct PanelNodes {
    std::vector<std::complex<double>> zeta, weight;
};

/// The panel of the rising ray from the corner outward by a band's width (step 0); that of the falling ray from its start
/// outward. All others on a ray are scaled from these, but for the last before 0. And the line between the rays.
struct RayNodes {
    PanelNodes rise, rise_end, line, fall;
    int lowest_step;  // the panel `rise_end` ends where the panel of this step begins
    int rise_panels,
        fall_panels;  // from the corner and from the start outward, until the carrier has died out
    ComplexArray powers_0,
        powers_1;  // [node][power_count]: weight times zeta^0, zeta^2 ... and zeta^1, zeta^3 ...
};
/// Powers are there for the nodes below the j_panels of most_shared bands: from rise_end outward.
inline constexpr int most_shared = 16;
const RayNodes& ray_nodes(BandAccuracy accuracy, bool check);

/// A band's carriers for some offsets (as fractions of the reference), times quadrature weights. The first `power_count`
/// places are not nodes: terms hold their power sums there, carriers the coefficients of J_n. Then come the nodes on
/// the rising ray, from the J panels outward; then those of the line and on the falling ray outward, or the level
/// panels and the ray after them, which are the band's own.
struct BandTable {
    std::size_t rise_count, line_count, fall_count, own_count, size;  // size: with power sums and padding
    ComplexArray own_zeta;                                            // padded to a multiple of lane_count
    std::vector<double> fractions;
    std::vector<CarrierWeights> weights;  // one a fraction
    std::vector<std::size_t> used;        // places worth summing, one a fraction: a multiple of lane_count
};

/// Whether the straight line passes right of `rightmost` (zeta units), so that the falling ray serves.
bool line_serves(const BandShape& shape, double rightmost);

/// For the Chebyshev points (first kind) in the logarithm of offset over a band; right of `rightmost`. Made on first
/// use and kept; safe from several threads; the same whoever asks first.
std::shared_ptr<const BandTable> band_table(BandAccuracy accuracy, int points, double rightmost);

/// The unlike contour, for the two ends of the band.
std::shared_ptr<const BandTable> band_check_table(BandAccuracy accuracy, double rightmost);

}  // namespace ampturn::model::contours
