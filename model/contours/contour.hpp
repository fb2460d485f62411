#pragma once

#include <complex>
#include <vector>

namespace ampturn::model::contours {

/// Which function carries the oscillation on a piece of contour: J_n near the origin, then half of each
/// Hankel function, each where it decays.
enum class Carrier { j, half_h1, half_h2 };

struct ContourNode {
    std::complex<double> zeta;    // lambda times a length: the offset, or the height
    std::complex<double> weight;  // Gauss weight times d zeta
    Carrier carrier;
};

/// A deformed path for int_0^inf K(lambda) J_n(lambda r) d lambda, in zeta = lambda times the length. From 0
/// along a straight line to `corner` in the first quadrant; there J = (H1 + H2)/2: H1 leaves upward at
/// `up_deg`, H2 runs level above every singularity near the real axis until it has passed `rightmost`, then
/// leaves downward at `down_deg` below the real axis. Composite Gauss-Legendre panels. With `split` false J
/// stays whole: the level run and the downward ray only, for kernels that decay by themselves (source or
/// receiver high). Source of the idea: Sommerfeld (1949), section 31.
struct ContourShape {
    int order;  // of the Gauss-Legendre rule of a panel
    std::complex<double> corner;
    double up_deg, down_deg;
    double level_panel;                         // length of the panels of the level run
    double first_panel, growth, longest_panel;  // panels of the two rays
    double low_ratio;                           // of successive panel ends towards the origin
    double low_end;                             // |zeta| of the last panel end before 0
    double decay;                               // the rays end where the carrier is e^{-decay}
};

/// The shape results are computed with, and an unlike one (other corner, angles, panels and order) to compare.
ContourShape main_shape();
ContourShape check_shape();

/// A leaner one, about 1e-9.
ContourShape lean_shape();

/// Number of level panels needed so that the downward ray starts right of `rightmost` (zeta units).
int level_panels(const ContourShape& shape, double rightmost);

/// Nodes for carriers J_n(q zeta) with q from q_low (the rays reach far enough for it).
std::vector<ContourNode> make_contour(const ContourShape& shape, int level_panel_count, bool split,
                                      double q_low);

}  // namespace ampturn::model::contours
