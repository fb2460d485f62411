#include "model/inversion/dipole_contour.hpp"

#include "model/base/check_range.hpp"
#include "model/base/lane_count.hpp"
#include "model/contours/contour.hpp"
#include "model/contours/hankel.hpp"
#include "model/integrals/layer_kernels.hpp"

namespace ampturn::model::inversion {
namespace {

using Complex = std::complex<double>;

contours::Orders01 carrier_of(const contours::ContourNode& node, double scaling) {
    if (node.carrier == contours::Carrier::j) return contours::bessel_j01(node.zeta * scaling);
    const contours::Orders01 h = node.carrier == contours::Carrier::half_h1
                                     ? contours::hankel1_01(node.zeta * scaling)
                                     : contours::hankel2_01(node.zeta * scaling);
    return {0.5 * h.order_0, 0.5 * h.order_1};
}

/// sqrt(max Re k^2) over air and layers, as LayerKernels has it.
double rightmost_per_m(const ground::LayeredEarth& earth, double frequency_hz,
                       ground::Wavenumbers wavenumbers) {
    return integrals::LayerKernels(earth, frequency_hz, wavenumbers).rightmost_per_m();
}

}  // namespace

DipoleContour::DipoleContour(const integrals::Placement& place, bool vertical_moment)
    : place_(place), vertical_moment_(vertical_moment) {
    check_range(place.receiver_height_m, "receiver_height_m", 0, 0);
}
DipoleContour::~DipoleContour() = default;
DipoleContour::DipoleContour(DipoleContour&&) noexcept = default;

const ContourNodes& DipoleContour::nodes_for(double rightmost_per_m) {
    // Half the order and the reach of the engine's contour: 1e-7 instead of 1e-12.
    contours::ContourShape shape = contours::main_shape();
    shape.order = 8;
    shape.low_end = 1e-4;
    shape.decay = 18;
    shape.level_panel = 3;
    const bool split = place_.offset_m > place_.source_height_m;
    const double scale = split ? place_.offset_m : place_.source_height_m;
    const int panels = contours::level_panels(shape, rightmost_per_m * scale);
    std::unique_ptr<ContourNodes>& kept = nodes_[panels];
    if (kept) return *kept;
    kept = std::make_unique<ContourNodes>();
    const std::vector<contours::ContourNode> contour = contours::make_contour(shape, panels, split, 1);
    const auto put = [](std::vector<double>& re, std::vector<double>& im, Complex z) {
        re.push_back(z.real());
        im.push_back(z.imag());
    };
    for (const contours::ContourNode& node : contour) {
        const contours::Orders01 carrier = carrier_of(node, place_.offset_m / scale);
        put(kept->lambda_re, kept->lambda_im, node.zeta / scale);
        put(kept->j0_re, kept->j0_im, carrier.order_0 * node.weight / scale);
        put(kept->j1_re, kept->j1_im, carrier.order_1 * node.weight / scale);
    }
    while (kept->size() % lane_count != 0) {
        put(kept->lambda_re, kept->lambda_im, contour.back().zeta / scale);
        put(kept->j0_re, kept->j0_im, 0);
        put(kept->j1_re, kept->j1_im, 0);
    }
    return *kept;
}

SurfaceSums DipoleContour::sums(const ground::LayeredEarth& earth, double frequency_hz, Slopes slopes,
                                ground::Wavenumbers wavenumbers) {
    return surface_sums({.earth = earth,
                         .frequency_hz = frequency_hz,
                         .wavenumbers = wavenumbers,
                         .source_height_m = place_.source_height_m,
                         .offset_m = place_.offset_m,
                         .vertical_moment = vertical_moment_},
                        nodes_for(rightmost_per_m(earth, frequency_hz, wavenumbers)), slopes);
}

}  // namespace ampturn::model::inversion
