#include "model/fields/point_fields.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/constants.hpp"

namespace ampturn::model::fields {

namespace {

using Complex = std::complex<double>;

/// From the dipole to the receiver, and the moment along and across that line.
struct Geometry {
    integrals::Placement place;
    double cosine, sine;         // of the azimuth of the receiver
    double along, across, down;  // a = m / 4 pi: towards the receiver, clockwise from it, down

    Geometry(const Dipole& dipole, const Receiver& receiver) {
        const double dx = receiver.x_m - dipole.x_m, dy = receiver.y_m - dipole.y_m;
        const double r = std::sqrt(dx * dx + dy * dy);
        // Straight above or below, any azimuth serves; a micrometre keeps 1/r finite at no cost in accuracy.
        constexpr double least_offset_m = 1e-6;
        cosine = r > least_offset_m ? dx / r : 1;
        sine = r > least_offset_m ? dy / r : 0;
        place = {.offset_m = std::max(r, least_offset_m),
                 .source_height_m = dipole.height_m,
                 .receiver_height_m = -receiver.z_m};
        const auto [mx, my, mz] = dipole.moment_a_m2;
        along = (mx * cosine + my * sine) / (4 * pi);
        across = (my * cosine - mx * sine) / (4 * pi);
        down = mz / (4 * pi);
    }
};

Fields assemble(const integrals::DipoleIntegrals& f, const Geometry& g, double omega_rad_per_s) {
    const Complex zh(0, omega_rad_per_s * mu0_h_per_m);
    const Complex h_radial = g.along * f.h_radial - g.down * f.v_hr;
    const Complex h_phi = g.across * f.h_across;
    const Complex e_radial = -zh * g.across * f.e_across;
    const Complex e_phi = zh * (g.along * f.e_radial - g.down * f.v_e);
    return {.ex_v_per_m = g.cosine * e_radial - g.sine * e_phi,
            .ey_v_per_m = g.sine * e_radial + g.cosine * e_phi,
            .hx_a_per_m = g.cosine * h_radial - g.sine * h_phi,
            .hy_a_per_m = g.sine * h_radial + g.cosine * h_phi,
            .hz_a_per_m = g.along * f.hz + g.down * f.v_hz};
}

/// Error of the vectors from errors of the integrals (real parts of `size`), all adding up.
void add_rounding(const integrals::DipoleIntegrals& size, const Geometry& g, double omega_rad_per_s,
                  Estimate& estimate) {
    const double zh = omega_rad_per_s * mu0_h_per_m;
    estimate.e_error += zh * (std::abs(g.across) * size.e_across.real() +
                              std::abs(g.along) * size.e_radial.real() + std::abs(g.down) * size.v_e.real());
    estimate.h_error += std::abs(g.along) * (size.h_radial.real() + size.hz.real()) +
                        std::abs(g.across) * size.h_across.real() +
                        std::abs(g.down) * (size.v_hr.real() + size.v_hz.real());
}

double miss(const Estimate& x) {
    return std::max(x.e_error / e_size(x.fields), x.h_error / h_size(x.fields));
}
bool holds(const Estimate& x, double tolerance_rel) {
    return x.e_error <= tolerance_rel * e_size(x.fields) && x.h_error <= tolerance_rel * h_size(x.fields);
}

}  // namespace

Fields direct_wave(const integrals::LayerKernels& kernels, const Dipole& dipole, const Receiver& receiver) {
    const Geometry g(dipole, receiver);
    return assemble(integrals::direct_integrals(g.place, kernels.k0_per_m()), g, kernels.omega_rad_per_s());
}

DirectFields::DirectFields(const integrals::LayerKernels& kernels, double tolerance_rel,
                           integrals::FieldWorkspace& workspace)
    : kernels_(kernels), tolerance_rel_(tolerance_rel), workspace_(workspace) {}

Estimate DirectFields::at(const Dipole& dipole, const Receiver& receiver) const {
    const Geometry g(dipole, receiver);
    const double omega = kernels_.omega_rad_per_s();
    const integrals::IntegralsWithRounding main =
        integrals::contour_integrals(kernels_, g.place, integrals::ContourChoice::main, workspace_);
    const integrals::IntegralsWithRounding check =
        integrals::contour_integrals(kernels_, g.place, integrals::ContourChoice::check, workspace_);
    Estimate result{.fields = assemble(main.value, g, omega), .integration = Integration::contour};
    const Fields other = assemble(check.value, g, omega);
    add_rounding(main.rounding, g, omega, result);
    result.e_error += e_size(result.fields - other);
    result.h_error += h_size(result.fields - other);
    if (holds(result, tolerance_rel_)) return result;

    const integrals::IntegralsWithRounding real_axis =
        integrals::real_axis_integrals(kernels_, g.place, workspace_);
    Estimate fallback{.fields = assemble(real_axis.value, g, omega), .integration = Integration::real_axis};
    add_rounding(real_axis.rounding, g, omega, fallback);
    // It is trusted as far as either contour confirms it.
    fallback.e_error += std::min(e_size(fallback.fields - result.fields), e_size(fallback.fields - other));
    fallback.h_error += std::min(h_size(fallback.fields - result.fields), h_size(fallback.fields - other));
    const double contour_miss = miss(result), fallback_miss = miss(fallback);
    return fallback_miss < contour_miss ? fallback : result;
}

InterpolatedFields::InterpolatedFields(const integrals::LayerKernels& kernels, double tolerance_rel,
                                       double nearest_m, double farthest_m,
                                       integrals::FieldWorkspace& workspace)
    : kernels_(kernels),
      tolerance_rel_(tolerance_rel),
      filter_(kernels, tolerance_rel, nearest_m, farthest_m, workspace),
      shared_(kernels, tolerance_rel, nearest_m, farthest_m, workspace),
      direct_(kernels, tolerance_rel, workspace) {}

InterpolatedFields::Choice InterpolatedFields::curve_at(double log_offset, const integrals::Heights& heights,
                                                        bool with_vertical) {
    if (!with_vertical && !kernels_.full_wave())
        if (const integrals::OffsetPolynomial* piece = filter_.piece_at(log_offset, heights))
            return {piece, Integration::filter};
    return {shared_.piece_at(log_offset, heights, with_vertical), Integration::interpolated};
}

Estimate InterpolatedFields::at(const Dipole& dipole, const Receiver& receiver) {
    const Geometry g(dipole, receiver);
    const double omega = kernels_.omega_rad_per_s(), log_offset = std::log(g.place.offset_m);
    const bool vertical = g.down != 0;
    auto from = [&](const integrals::OffsetPolynomial& piece, Integration integration) {
        const integrals::IntegralsWithRounding x =
            integrals::integrals_at(piece, g.place.offset_m, log_offset, kernels_.k0_per_m());
        Estimate result{.fields = assemble(x.value, g, omega), .integration = integration};
        add_rounding(x.rounding, g, omega, result);
        return result;
    };
    const integrals::Heights heights{g.place.source_height_m, g.place.receiver_height_m};
    const Choice first = curve_at(log_offset, heights, vertical);
    if (first.piece != nullptr) {
        const Estimate result = from(*first.piece, first.integration);
        if (holds(result, tolerance_rel_)) return result;
    }
    if (first.integration == Integration::filter) {
        const integrals::OffsetPolynomial* piece = shared_.piece_at(log_offset, heights, vertical);
        if (piece != nullptr) {
            const Estimate result = from(*piece, Integration::interpolated);
            if (holds(result, tolerance_rel_)) return result;
        }
    }
    return direct_.at(dipole, receiver);
}

}  // namespace ampturn::model::fields
