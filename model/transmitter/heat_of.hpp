#pragma once

#include <optional>

#include "model/transmitter/operating_point.hpp"

/// What the transmitter puts into the heat nodes (thermal.hpp). Everything that asks how warm the transmitter gets,
/// the plant that is simulated and the sheets that plan, asks here.
namespace ampturn::model::transmitter {

/// Without current yet: the resistances that current will heat, of a tap whose winding has R_ac/R_dc of
/// `winding_ratio` and the metal's own temperature coefficient, and of the two switches in its path.
HeatInput heat_of_tap(const Transmitter& transmitter, const loop::LoopTap& tap, double winding_ratio,
                      double electronics_fixed_w);

/// Heat that a solved operating point puts into one winding, a or b, and the electronics. Where the other loop carries
/// current too its bridge's conduction, at 25 C, counts among the fixed watts.
HeatInput heat_of(const Transmitter& transmitter, const DriveRequest& request, const OperatingPoint& point,
                  loop::LoopSelection winding);

/// Time until a solved operating point, kept up, brings a winding it feeds or the electronics from air
/// temperature to their limit; nullopt when that takes longer than horizon_s.
std::optional<double> time_to_heat_limit_s(const Transmitter& transmitter, const DriveRequest& request,
                                           const OperatingPoint& point, double air_c, double horizon_s);

}  // namespace ampturn::model::transmitter
