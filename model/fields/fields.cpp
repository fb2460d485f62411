#include "model/fields/fields.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <mutex>
#include <optional>
#include <stdexcept>
#include <tuple>
#include <utility>

#include "model/base/check_range.hpp"
#include "model/fields/field_batch.hpp"
#include "model/fields/loop_dipoles.hpp"
#include "model/fields/point_fields.hpp"
#include "model/integrals/field_workspace.hpp"

namespace ampturn::model::fields {

namespace {

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
FieldResult loop_field(PointFields& point_fields, LoopQuadrature& loop, const Receiver& receiver,
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
        check_range(dipole->height_m, "dipole.height_m", 0, 1000);
        double moment = 0;
        for (std::size_t i = 0; i < dipole->moment_a_m2.size(); ++i) {
            check_range(dipole->moment_a_m2[i], "dipole.moment_a_m2", -1e12, 1e12, i);
            moment = std::max(moment, std::abs(dipole->moment_a_m2[i]));
        }
        if (moment == 0) throw RangeError("dipole.moment_a_m2", "all zero", "a moment");
    } else {
        check_loop(std::get<Loop>(source));
    }
}

void check_pairs(const Source& source, std::span<const Receiver> receivers) {
    const auto* loop = std::get_if<Loop>(&source);
    const Dipole dipole = loop ? loop_as_dipole(*loop) : std::get<Dipole>(source);
    for (std::size_t i = 0; i < receivers.size(); ++i) {
        const Receiver& receiver = receivers[i];
        const double dx = receiver.x_m - dipole.x_m, dy = receiver.y_m - dipole.y_m;
        check_range(std::sqrt(dx * dx + dy * dy), "receiver.offset_m", 1, 2e4, i);
        check_range(receiver.z_m, "receiver.z_m", -1000, 0, i);
        if (loop == nullptr) continue;
        check_range(distance_to_wire_m(*loop, receiver), "receiver.distance_to_wire_m", 0.5, 3e4, i);
        if (inside_loop(*loop, receiver))
            throw RangeError("receiver", "inside the loop", "outside the loop's outline", i);
    }
}

/// Least and largest horizontal distance between any part of a source and a receiver, roughly; at least 0.1 m.
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
            text = "deformed contours shared by a band of offsets";
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

struct FieldJob::Prepared {
    std::vector<Source> sources;
    std::vector<Receiver> receivers;
    double nearest_m, farthest_m;
    std::vector<SourceGroup> groups;  // the dipoles

    /// A workspace that no other thread uses, for as long as it lives.
    class WorkspaceLease {
      public:
        explicit WorkspaceLease(Prepared& of) : of_(of) {
            const std::scoped_lock lock(of_.mutex);
            if (of_.rooms.empty()) of_.rooms.push_back(std::make_unique<integrals::FieldWorkspace>());
            workspace_ = std::move(of_.rooms.back());
            of_.rooms.pop_back();
        }
        ~WorkspaceLease() {
            const std::scoped_lock lock(of_.mutex);
            of_.rooms.push_back(std::move(workspace_));
        }
        WorkspaceLease(const WorkspaceLease&) = delete;
        WorkspaceLease& operator=(const WorkspaceLease&) = delete;
        integrals::FieldWorkspace& get() { return *workspace_; }

      private:
        Prepared& of_;
        std::unique_ptr<integrals::FieldWorkspace> workspace_;
    };
    std::mutex mutex;
    std::vector<std::unique_ptr<integrals::FieldWorkspace>> rooms;
};

FieldJob::FieldJob(std::vector<Source> sources, std::vector<Receiver> receivers)
    : prepared_(std::make_unique<Prepared>()) {
    for (const Source& source : sources) {
        check_source(source);
        check_pairs(source, receivers);
    }
    std::tie(prepared_->nearest_m, prepared_->farthest_m) = offset_range_m(sources, receivers);
    // Few offsets are done sooner, and a little more exactly, each by its own contours.
    constexpr std::size_t worth_sharing = 6;
    if (receivers.size() >= worth_sharing) prepared_->groups = group_dipoles(sources, receivers);
    prepared_->sources = std::move(sources);
    prepared_->receivers = std::move(receivers);
}
FieldJob::~FieldJob() = default;

std::size_t FieldJob::source_count() const { return prepared_->sources.size(); }
std::size_t FieldJob::receiver_count() const { return prepared_->receivers.size(); }

void FieldJob::compute(const ground::LayeredEarth& earth, double frequency_hz, const FieldOptions& options,
                       std::span<FieldResult> results) const {
    check_range(options.tolerance_rel, "tolerance_rel", 1e-10, 1e-3);
    const std::vector<Source>& sources = prepared_->sources;
    const std::vector<Receiver>& receivers = prepared_->receivers;
    if (results.size() != sources.size() * receivers.size())
        throw RangeError("results", std::to_string(results.size()) + " places",
                         "one for each source and receiver");
    const integrals::LayerKernels kernels(earth, frequency_hz, options.wavenumbers);
    Prepared::WorkspaceLease workspace(*prepared_);
    DirectFields direct(kernels, options.tolerance_rel, workspace.get());
    InterpolatedFields shared(kernels, options.tolerance_rel, prepared_->nearest_m, prepared_->farthest_m,
                              workspace.get());
    const bool in_groups = !options.reference && !prepared_->groups.empty();
    if (in_groups)
        for (const SourceGroup& group : prepared_->groups) {
            auto fallback = [&](std::size_t source, std::size_t receiver) {
                return finish(shared.at(std::get<Dipole>(sources[source]), receivers[receiver]),
                              SourceModel::dipole, 1);
            };
            batch_fields(group, receivers, shared, fallback, results);
        }
    for (std::size_t i = 0; i < sources.size(); ++i) {
        const std::span<FieldResult> row = results.subspan(i * receivers.size(), receivers.size());
        if (const auto* dipole = std::get_if<Dipole>(&sources[i])) {
            if (in_groups) continue;
            for (std::size_t j = 0; j < row.size(); ++j)
                row[j] = finish(direct.at(*dipole, receivers[j]), SourceModel::dipole, 1);
            continue;
        }
        LoopQuadrature loop(std::get<Loop>(sources[i]));
        for (std::size_t j = 0; j < row.size(); ++j)
            row[j] = options.reference ? loop_field(direct, loop, receivers[j], options.tolerance_rel)
                                       : loop_field(shared, loop, receivers[j], options.tolerance_rel);
    }
}

std::vector<std::vector<FieldResult>> fields_at(const ground::LayeredEarth& earth, double frequency_hz,
                                                std::span<const Source> sources,
                                                std::span<const Receiver> receivers,
                                                const FieldOptions& options) {
    const FieldJob job({sources.begin(), sources.end()}, {receivers.begin(), receivers.end()});
    std::vector<FieldResult> all(sources.size() * receivers.size());
    job.compute(earth, frequency_hz, options, all);
    std::vector<std::vector<FieldResult>> results;
    for (auto from = all.begin(); from != all.end(); from += static_cast<std::ptrdiff_t>(receivers.size()))
        results.emplace_back(from, from + static_cast<std::ptrdiff_t>(receivers.size()));
    return results;
}

FieldResult field(const ground::LayeredEarth& earth, double frequency_hz, const Source& source,
                  const Receiver& receiver, const FieldOptions& options) {
    const FieldJob job({source}, {receiver});
    FieldResult result;
    job.compute(earth, frequency_hz, options, {&result, 1});
    return result;
}

}  // namespace ampturn::model::fields
