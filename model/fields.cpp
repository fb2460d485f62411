#include "model/fields.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <stdexcept>
#include <tuple>
#include <utility>

#include "model/check_range.hpp"
#include "model/constants.hpp"
#include "model/dipole_integrals.hpp"
#include "model/filter_offsets.hpp"
#include "model/loop_dipoles.hpp"
#include "model/shared_offsets.hpp"

namespace ampturn::model {

namespace {

using Complex = std::complex<double>;

/// A field with an estimate of its error, and the slowest way of integrating that went into it.
struct Estimate {
    Fields fields{};
    double e_error = 0, h_error = 0;
    Integration integration = Integration::interpolated;
};

/// Largest component; fields here are far from where a square could overflow or underflow.
double e_size(const Fields& f) {
    return std::sqrt(std::max(std::norm(f.ex_v_per_m), std::norm(f.ey_v_per_m)));
}
double h_size(const Fields& f) {
    return std::sqrt(std::max({std::norm(f.hx_a_per_m), std::norm(f.hy_a_per_m), std::norm(f.hz_a_per_m)}));
}
Fields operator+(const Fields& a, const Fields& b) {
    return {a.ex_v_per_m + b.ex_v_per_m, a.ey_v_per_m + b.ey_v_per_m, a.hx_a_per_m + b.hx_a_per_m,
            a.hy_a_per_m + b.hy_a_per_m, a.hz_a_per_m + b.hz_a_per_m};
}
Fields operator-(const Fields& a, const Fields& b) {
    return {a.ex_v_per_m - b.ex_v_per_m, a.ey_v_per_m - b.ey_v_per_m, a.hx_a_per_m - b.hx_a_per_m,
            a.hy_a_per_m - b.hy_a_per_m, a.hz_a_per_m - b.hz_a_per_m};
}

/// From the dipole to the receiver, and the moment along and across that line.
struct Geometry {
    Placement place;
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

Fields assemble(const DipoleIntegrals& f, const Geometry& g, double omega_rad_per_s) {
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
void add_rounding(const DipoleIntegrals& size, const Geometry& g, double omega_rad_per_s,
                  Estimate& estimate) {
    const double zh = omega_rad_per_s * mu0_h_per_m;
    estimate.e_error += zh * (std::abs(g.across) * size.e_across.real() +
                              std::abs(g.along) * size.e_radial.real() + std::abs(g.down) * size.v_e.real());
    estimate.h_error += std::abs(g.along) * (size.h_radial.real() + size.hz.real()) +
                        std::abs(g.across) * size.h_across.real() +
                        std::abs(g.down) * (size.v_hr.real() + size.v_hz.real());
}

/// Fields of point dipoles by contours for each very offset.
class ContourFields {
  public:
    ContourFields(const LayerKernels& kernels, double tolerance_rel)
        : kernels_(kernels), tolerance_rel_(tolerance_rel) {}

    Estimate at(const Dipole& dipole, const Receiver& receiver) const {
        const Geometry g(dipole, receiver);
        const double omega = kernels_.omega_rad_per_s();
        const IntegralsWithRounding main = contour_integrals(kernels_, g.place, ContourChoice::main);
        const IntegralsWithRounding check = contour_integrals(kernels_, g.place, ContourChoice::check);
        Estimate result{.fields = assemble(main.value, g, omega), .integration = Integration::contour};
        const Fields other = assemble(check.value, g, omega);
        add_rounding(main.rounding, g, omega, result);
        result.e_error += e_size(result.fields - other);
        result.h_error += h_size(result.fields - other);
        if (holds(result)) return result;

        const IntegralsWithRounding real_axis = real_axis_integrals(kernels_, g.place);
        Estimate fallback{.fields = assemble(real_axis.value, g, omega),
                          .integration = Integration::real_axis};
        add_rounding(real_axis.rounding, g, omega, fallback);
        // It is trusted as far as either contour confirms it.
        fallback.e_error +=
            std::min(e_size(fallback.fields - result.fields), e_size(fallback.fields - other));
        fallback.h_error +=
            std::min(h_size(fallback.fields - result.fields), h_size(fallback.fields - other));
        const double contour_miss = miss(result), fallback_miss = miss(fallback);
        return fallback_miss < contour_miss ? fallback : result;
    }

  private:
    static double miss(const Estimate& x) {
        return std::max(x.e_error / e_size(x.fields), x.h_error / h_size(x.fields));
    }
    bool holds(const Estimate& x) const {
        return x.e_error <= tolerance_rel_ * e_size(x.fields) &&
               x.h_error <= tolerance_rel_ * h_size(x.fields);
    }

    const LayerKernels& kernels_;
    double tolerance_rel_;
};

/// Fields of point dipoles by contours shared among offsets, or where they do not serve by the offset's own.
class SharedFields {
  public:
    /// Offsets are expected within [nearest_m, farthest_m]; others are served too.
    SharedFields(const LayerKernels& kernels, double tolerance_rel, double nearest_m, double farthest_m)
        : kernels_(kernels),
          tolerance_rel_(tolerance_rel),
          filter_(kernels, tolerance_rel, nearest_m, farthest_m),
          shared_(kernels, tolerance_rel),
          own_(kernels, tolerance_rel) {}

    Estimate at(const Dipole& dipole, const Receiver& receiver) const {
        const Geometry g(dipole, receiver);
        const bool vertical = g.down != 0;
        const std::tuple key(g.place.offset_m, g.place.source_height_m, g.place.receiver_height_m, vertical);
        if (key != last_key_) {  // two sources at a place ask one after the other
            last_filter_ = vertical || kernels_.full_wave() ? std::nullopt : filter_.at(g.place);
            last_shared_.reset();
            shared_asked_ = false;
            last_key_ = key;
        }
        if (last_filter_)
            if (const auto result = held(*last_filter_, g, Integration::filter)) return *result;
        if (!shared_asked_) {
            last_shared_ = shared_.at(g.place, vertical);
            shared_asked_ = true;
        }
        if (last_shared_)
            if (const auto result = held(*last_shared_, g, Integration::interpolated)) return *result;
        return own_.at(dipole, receiver);
    }

  private:
    std::optional<Estimate> held(const IntegralsWithRounding& integrals, const Geometry& g,
                                 Integration integration) const {
        Estimate result{.fields = assemble(integrals.value, g, kernels_.omega_rad_per_s()),
                        .integration = integration};
        add_rounding(integrals.rounding, g, kernels_.omega_rad_per_s(), result);
        if (result.e_error <= tolerance_rel_ * e_size(result.fields) &&
            result.h_error <= tolerance_rel_ * h_size(result.fields))
            return result;
        return std::nullopt;
    }

    const LayerKernels& kernels_;
    double tolerance_rel_;
    // These keep what they computed.
    mutable FilterOffsets filter_;
    mutable SharedOffsets shared_;
    mutable std::tuple<double, double, double, bool> last_key_{-1, -1, -1, false};
    mutable std::optional<IntegralsWithRounding> last_filter_, last_shared_;
    mutable bool shared_asked_ = false;
    ContourFields own_;
};

void add(const Estimate& term, Estimate& sum) {
    sum.fields = sum.fields + term.fields;
    sum.e_error += term.e_error;
    sum.h_error += term.h_error;
    sum.integration = std::max(sum.integration, term.integration);
}

FieldResult finish(const Estimate& x, SourceModel model, std::size_t dipoles) {
    const bool sound = std::isfinite(e_size(x.fields)) && std::isfinite(h_size(x.fields)) &&
                       x.e_error <= 1e-3 * e_size(x.fields) && x.h_error <= 1e-3 * h_size(x.fields);
    if (!sound) throw std::runtime_error("field: no method reached 1e-3 for this ground and offset");
    return {.fields = x.fields,
            .e_error_v_per_m = x.e_error,
            .h_error_a_per_m = x.h_error,
            .integration = x.integration,
            .source_model = model,
            .dipoles = static_cast<int>(dipoles)};
}

/// Orders of the quadrature over the loop, rising until two agree.
constexpr std::array loop_orders{2, 3, 4, 6, 8, 10, 12, 16, 20, 24};

template <class PointFields>
FieldResult loop_field(const PointFields& point_fields, LoopQuadrature& loop, const Receiver& receiver,
                       double tolerance_rel) {
    Estimate previous = point_fields.at(loop.whole(), receiver);
    SourceModel previous_model = SourceModel::dipole;
    std::size_t previous_count = 1;
    for (const int order : loop_orders) {
        const std::vector<Dipole> dipoles = loop.dipoles(order, receiver);
        Estimate next;
        for (const Dipole& dipole : dipoles) add(point_fields.at(dipole, receiver), next);
        const double e_change = e_size(next.fields - previous.fields);
        const double h_change = h_size(next.fields - previous.fields);
        // The change is the error of the coarser rule; the finer one is better by far more than ten.
        const bool coarse_holds = e_change <= tolerance_rel * e_size(next.fields) &&
                                  h_change <= tolerance_rel * h_size(next.fields);
        if (coarse_holds && previous_model == SourceModel::dipole) {
            previous.e_error += e_change;
            previous.h_error += h_change;
            return finish(previous, previous_model, previous_count);
        }
        if (coarse_holds || order == loop_orders.back()) {
            next.e_error += e_change;
            next.h_error += h_change;
            return finish(next, SourceModel::dipole_area, dipoles.size());
        }
        previous = next;
        previous_model = SourceModel::dipole_area;
        previous_count = dipoles.size();
    }
    return finish(previous, previous_model, previous_count);
}

void check_source(const Source& source) {
    if (const auto* dipole = std::get_if<Dipole>(&source)) {
        check_range(dipole->height_m, "source height_m", 0, 1000);
        double moment = 0;
        for (const double m : dipole->moment_a_m2) {
            check_range(m, "moment_A_m2", -1e12, 1e12);
            moment = std::max(moment, std::abs(m));
        }
        if (moment == 0) throw std::invalid_argument("moment_A_m2: all zero");
    } else {
        check_loop(std::get<Loop>(source));
    }
}

void check_pair(const Source& source, const Receiver& receiver) {
    const auto* loop = std::get_if<Loop>(&source);
    const Dipole dipole = loop ? loop_as_dipole(*loop) : std::get<Dipole>(source);
    check_range(std::hypot(receiver.x_m - dipole.x_m, receiver.y_m - dipole.y_m), "offset_m", 1, 2e4);
    check_range(receiver.z_m, "receiver z_m", -1000, 0);
    if (loop) check_range(distance_to_wire_m(*loop, receiver), "distance to the wire_m", 0.5, 3e4);
}

/// Least and largest horizontal distance between any part of a source and a receiver, roughly; at least 0.1
/// m.
std::pair<double, double> offset_range_m(std::span<const Source> sources,
                                         std::span<const Receiver> receivers) {
    double nearest = std::numeric_limits<double>::infinity(), farthest = 0;
    for (const Source& source : sources) {
        const auto* loop = std::get_if<Loop>(&source);
        const Dipole centre = loop ? loop_as_dipole(*loop) : std::get<Dipole>(source);
        const double radius = loop ? 1.05 * loop_radius_m(*loop) : 0;
        for (const Receiver& receiver : receivers) {
            const double r = std::hypot(receiver.x_m - centre.x_m, receiver.y_m - centre.y_m);
            nearest = std::min(nearest, r - radius);
            farthest = std::max(farthest, r + radius);
        }
    }
    return {std::max(0.1, nearest / (1 + 1e-12)), std::max(0.2, farthest * (1 + 1e-12))};
}

}  // namespace

std::string method_text(const FieldResult& result) {
    std::string text;
    switch (result.integration) {
        case Integration::interpolated:
            text = "deformed contours shared by an octave of offsets";
            break;
        case Integration::filter:
            text = "digital filter";
            break;
        case Integration::contour:
            text = "deformed contour";
            break;
        case Integration::real_axis:
            text = "real axis by half waves, accelerated";
            break;
    }
    switch (result.source_model) {
        case SourceModel::dipole:
            return text + "; point dipole";
        case SourceModel::dipole_area:
            return text + "; " + std::to_string(result.dipoles) + " dipoles over the loop";
    }
    return text;
}

std::vector<std::vector<FieldResult>> fields(const LayeredEarth& earth, double frequency_hz,
                                             std::span<const Source> sources,
                                             std::span<const Receiver> receivers,
                                             const FieldOptions& options) {
    check_range(options.tolerance_rel, "tolerance_rel", 1e-10, 1e-3);
    for (const Source& source : sources) {
        check_source(source);
        for (const Receiver& receiver : receivers) check_pair(source, receiver);
    }
    const LayerKernels kernels(earth, frequency_hz, options.wavenumbers);
    // Few offsets are done sooner, and a little more exactly, each by its own contours.
    constexpr std::size_t worth_sharing = 6;
    const bool share_dipoles = !options.reference && receivers.size() >= worth_sharing;
    const ContourFields own(kernels, options.tolerance_rel);
    const auto [nearest_m, farthest_m] = offset_range_m(sources, receivers);
    const SharedFields shared(kernels, options.tolerance_rel, nearest_m, farthest_m);
    std::vector<std::optional<LoopQuadrature>> loops(sources.size());
    for (std::size_t i = 0; i < sources.size(); ++i)
        if (const auto* loop = std::get_if<Loop>(&sources[i])) loops[i].emplace(*loop);
    std::vector<std::vector<FieldResult>> results(sources.size());
    for (std::size_t i = 0; i < sources.size(); ++i) results[i].reserve(receivers.size());
    for (const Receiver& receiver : receivers)
        for (std::size_t i = 0; i < sources.size(); ++i) {
            if (const auto* dipole = std::get_if<Dipole>(&sources[i]))
                results[i].push_back(
                    finish(share_dipoles ? shared.at(*dipole, receiver) : own.at(*dipole, receiver),
                           SourceModel::dipole, 1));
            else if (options.reference)
                results[i].push_back(loop_field(own, *loops[i], receiver, options.tolerance_rel));
            else
                results[i].push_back(loop_field(shared, *loops[i], receiver, options.tolerance_rel));
        }
    return results;
}

FieldResult field(const LayeredEarth& earth, double frequency_hz, const Source& source,
                  const Receiver& receiver, const FieldOptions& options) {
    return fields(earth, frequency_hz, {&source, 1}, {&receiver, 1}, options).front().front();
}

}  // namespace ampturn::model
