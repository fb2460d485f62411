#include "model/ground/plane_wave_noise.hpp"

namespace ampturn::model::ground {

TensorEstimate estimate_tensor_in_plane_noise(const HorizontalFields& a, const HorizontalFields& b,
                                              const HorizontalVariance& uncorrelated_a,
                                              const HorizontalVariance& uncorrelated_b,
                                              const PlaneNoise& plane,
                                              std::complex<double> plane_impedance_ohm) {
    // What is left of the plane wave acts like noise of E alone, so it is put there.
    const ImpedanceTensor z = estimate_tensor(a, b, uncorrelated_a, uncorrelated_b).impedance;
    const double x =
        plane.east * std::norm(plane_impedance_ohm - z.xy_ohm) + plane.north * std::norm(z.xx_ohm);
    const double y =
        plane.north * std::norm(plane_impedance_ohm + z.yx_ohm) + plane.east * std::norm(z.yy_ohm);
    const auto with_plane = [&](HorizontalVariance v, double variance) {
        v.ex += x * variance;
        v.ey += y * variance;
        return v;
    };
    return estimate_tensor(a, b, with_plane(uncorrelated_a, plane.variance_a),
                           with_plane(uncorrelated_b, plane.variance_b));
}

}  // namespace ampturn::model::ground
