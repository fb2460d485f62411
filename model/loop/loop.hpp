#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "model/loop/wire.hpp"

/// Transmitter loops: outline, turns, taps, inductance (free space, thin wire), area. x east of the loop's
/// own frame runs along the loop, y up; lengths in metres. Inductances are Neumann integrals.
/// Bodies: outlines, bundle and placing in loop_outline.cpp, mutual inductances of filaments and of circles
/// in filament.cpp, the rest in loop.cpp.
namespace ampturn::model::loop {

struct LoopPoint {
    double x_m, y_m, z_m;
};
double distance_m(const LoopPoint& a, const LoopPoint& b);

/// A plane outline: a circle (radius_m > 0, no vertices) or a closed polygon in the z = 0 plane of its own frame.
struct LoopOutline {
    std::vector<LoopPoint> vertices;
    double circle_radius_m = 0;
    bool is_circle() const { return vertices.empty(); }
    double area_m2() const;
    double perimeter_m() const;
    LoopPoint normal() const;    ///< unit
    LoopPoint centroid() const;  ///< of the area
    double reach_m() const;      ///< farthest point from the centroid
    double drop_m() const;       ///< lowest point below the centroid, y up
};
LoopOutline circle_outline(double radius_m);
LoopOutline square_outline(double side_m);
LoopOutline rectangle_outline(double width_m, double height_m);
LoopOutline rhombus_outline(double diagonal1_m, double diagonal2_m);
LoopOutline triangle_outline(double base_m, double height_m);
LoopOutline regular_polygon_outline(int sides, double side_m);  ///< stands on a side
/// The second of the first two sides that touch or cross and are not neighbours, from 0, in a plane polygon
/// of this normal; nullopt when there are none.
std::optional<std::size_t> side_that_meets_another(std::span<const LoopPoint> vertices,
                                                   const LoopPoint& normal);
/// Free vertices in one plane, in order, not repeating the first. Throws RangeError "vertices" when there are
/// fewer than three, when they are not in one plane (1e-6 of the size), when two sides meet, or the area is
/// zero.
LoopOutline polygon_outline(std::vector<LoopPoint> vertices);

/// Position of one turn in the cross-section of the bundle: outward in the loop's plane, and along its normal.
struct TurnPosition {
    double outward_m, along_normal_m;
};
/// Hexagonal bundle of N turns at a pitch, closest sites first, centred on its mean.
std::vector<TurnPosition> hexagonal_bundle(int turns, double pitch_m);

/// Geometric mean radius of one round wire: a exp(-x/4), x = internal inductance ratio (1 at d.c., 0 in the
/// skin limit); of a bundle: exp(mean over all pairs of ln D_ij), D_ii = the wire's own.
double wire_gmr_m(double wire_radius_m, double internal_inductance_ratio);
double bundle_gmr_m(std::span<const TurnPosition> turns, double single_wire_gmr_m);

/// Mutual inductance of two straight filaments, closed form (Grover 1946 ch. 5-7; Campbell's skew form):
/// exact for parallel, meeting, crossing and skew filaments. Accuracy 1e-11 of mu0 times the longer length.
double filament_mutual_h(const LoopPoint& from1, const LoopPoint& to1, const LoopPoint& from2,
                         const LoopPoint& to2);
/// Mutual inductance of two closed polygons, sum over all pairs of sides.
double polygon_mutual_h(std::span<const LoopPoint> loop1, std::span<const LoopPoint> loop2);
/// Two coaxial circles, complete elliptic integrals (Maxwell; DLMF 19.34). distance_m >= 0; circles not touching.
double coaxial_circles_mutual_h(double radius1_m, double radius2_m, double distance_m);

/// Self-inductance of one turn of the outline: Neumann integral between the filament and its copy gmr_m along
/// the normal. gmr_m > 0.
double self_inductance_h(const LoopOutline& outline, double gmr_m);

/// What is wound: outline, wire, bundle pitch, and the taps (numbers of turns that can be used).
struct LoopDesign {
    LoopOutline outline;
    Wire wire;
    double pitch_m;                 ///< centre to centre of neighbouring turns, >= wire diameter
    std::vector<int> taps;          ///< turns in use at each tap, each >= 1; any order
    double lead_resistance_ohm;     ///< both leads together, taken as constant
    bool proximity_loss = true;     ///< add the bundle estimate to the skin effect
    double centre_height_m = 0;     ///< above ground
    double normal_azimuth_deg = 0;  ///< clockwise from north
    double tilt_deg = 0;            ///< of the plane away from upright; 0 = upright loop, horizontal moment
    double capacitance_f = 0;       ///< stray, across the whole loop; 0 = use the estimate
};

/// One tap made ready for use: everything that does not depend on frequency or temperature.
struct LoopTap {
    int turns;
    double area_m2;  ///< of one turn
    double wire_length_m;
    double resistance_dc_20c_ohm;  ///< winding without leads
    double lead_resistance_ohm;
    Wire wire;
    double pitch_m;
    bool proximity_loss;
    double gmr_dc_m, gmr_hf_m;
    double inductance_dc_h, inductance_hf_h;
    double inductance_slope_h, inductance_curve_h;  ///< L = dc + slope u + curve u^2, u = ln(gmr/gmr_dc)
    double stray_capacitance_f;                     ///< estimate, +-70 %, follows from self_resonance_hz
    double self_resonance_hz;  ///< estimate, +-40 % (common practice, no source: half a wave along the wire)
    double moment_per_ampere_m2() const { return turns * area_m2; }
};
/// Throws RangeError under the name of a member of LoopDesign ("pitch_m", "wire.strands"), or "turns".
LoopTap make_tap(const LoopDesign& design, int turns);

/// Series resistance (winding with skin and, if chosen, proximity, plus leads) and inductance at a frequency.
struct LoopImpedance {
    double resistance_ohm;
    double inductance_h;
    double resistance_ratio;  ///< winding R_ac/R_dc
};
LoopImpedance loop_impedance(const LoopTap& tap, double winding_temperature_c, double frequency_hz);

/// Mutual inductance of two loops of one turn each, placed in space by centre, azimuth and tilt (the centre's
/// horizontal offset of the second is given). Multiply by both numbers of turns.
double loop_mutual_h(const LoopDesign& loop1, const LoopDesign& loop2, double offset_north_m,
                     double offset_east_m);

/// The outline's vertices in the field frame, x north, y east, z down, ground at z = 0; circles as 256 sides.
std::vector<LoopPoint> placed_vertices(const LoopDesign& loop);

}  // namespace ampturn::model::loop
