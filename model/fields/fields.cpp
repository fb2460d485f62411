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
#include "model/fields/loop_batch.hpp"
#include "model/fields/loop_convergence.hpp"
#include "model/fields/loop_dipoles.hpp"
#include "model/fields/point_fields.hpp"
#include "model/integrals/field_workspace.hpp"

namespace ampturn::model::fields {

namespace {

template <class PointFields>
FieldResult loop_field(PointFields& point_fields, LoopQuadrature& loop, const Receiver& receiver,
                       double tolerance_rel) {
    LoopConvergence convergence(point_fields.at(loop.whole(), receiver), 1, SourceModel::dipole,
                                std::nullopt);
    std::optional<FieldResult> result;
    for (std::size_t i = 1; !result; ++i) {
        const std::vector<Dipole> dipoles = loop.dipoles(loop_orders[i], receiver);
        Estimate finer;
        for (const Dipole& dipole : dipoles) add(point_fields.at(dipole, receiver), finer);
        result =
            convergence.next(finer, loop_orders[i], SourceModel::dipole_area, dipoles.size(), tolerance_rel);
    }
    return *result;
}

/// Both components of a change against the vectors.
bool within(const Fields& change, const Fields& whole, double tolerance_rel) {
    return e_size(change) <= tolerance_rel * e_size(whole) && h_size(change) <= tolerance_rel * h_size(whole);
}

/// A receiver close to a loop: what comes straight through the air needs many dipoles, each in closed form; what the ground
/// sends back comes from farther off and needs few, each with integrals. Nothing where that does not reach the tolerance.
std::optional<FieldResult> near_loop_field(InterpolatedFields& shared, LoopQuadrature& loop,
                                           const Receiver& receiver) {
    if (!loop.is_parallelogram()) return std::nullopt;  // other rules have points outside the loop
    const double tolerance_rel = shared.tolerance_rel();
    Estimate sum;
    std::size_t dipole_count = 0;
    Fields direct{};
    bool direct_holds = false;
    for (std::size_t i = 1; i < loop_orders.size() && !direct_holds; ++i) {
        const std::vector<Dipole> dipoles = loop.dipoles(loop_orders[i], receiver);
        Fields finer{};
        for (const Dipole& dipole : dipoles) finer = finer + direct_wave(shared.kernels(), dipole, receiver);
        direct_holds = i > 1 && within(finer - direct, finer, 0.1 * tolerance_rel);
        sum.e_error = e_size(finer - direct);
        sum.h_error = h_size(finer - direct);
        direct = finer;
        dipole_count = dipoles.size();
    }
    if (!direct_holds) return std::nullopt;
    Fields before{};
    for (std::size_t i = 1; i < loop_orders.size(); ++i) {
        Estimate reflected;
        for (const Dipole& dipole : loop.far_dipoles(loop_orders[i])) {
            Estimate whole = shared.at(dipole, receiver);
            whole.fields = whole.fields - direct_wave(shared.kernels(), dipole, receiver);
            add(whole, reflected);
        }
        const Fields change = reflected.fields - before;
        before = reflected.fields;
        if (i == 1 || !within(change, direct + reflected.fields, 0.3 * tolerance_rel)) continue;
        sum.fields = direct + reflected.fields;
        sum.e_error += reflected.e_error + e_size(change);
        sum.h_error += reflected.h_error + h_size(change);
        sum.integration = reflected.integration;
        if (sum.e_error > tolerance_rel * e_size(sum.fields) ||
            sum.h_error > tolerance_rel * h_size(sum.fields))
            return std::nullopt;
        return finish(sum, SourceModel::dipole_area, dipole_count);
    }
    return std::nullopt;
}

void check_source(const Source& source) {
    if (const auto* dipole = std::get_if<Dipole>(&source)) {
        check_range(dipole->height_m, "dipole.height_m", 0, 1000);
        double moment = 0;
        for (std::size_t i = 0; i < dipole->moment_a_m2.size(); ++i) {
            check_range(dipole->moment_a_m2[i], "dipole.moment_a_m2", -1e12, 1e12, i);
            moment = std::max(moment, std::abs(dipole->moment_a_m2[i]));
        }
        if (moment < least_strength)
            throw RangeError("dipole.moment_a_m2", moment == 0 ? "all zero" : "next to nothing",
                             "a moment of at least 1e-60");
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

void check_field_job(const Source& source, std::span<const Receiver> receivers) {
    check_source(source);
    check_pairs(source, receivers);
}

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
        case SourceModel::dipole_columns:
            return text + "; " + std::to_string(result.dipoles) + " columns of dipoles over the loop";
    }
    return text;
}

struct FieldJob::Prepared {
    std::vector<Source> sources;
    std::vector<Receiver> receivers;
    double nearest_m, farthest_m;
    std::vector<SourceGroup> groups;                // the dipoles
    std::vector<std::unique_ptr<LoopBatch>> loops;  // by source; none for dipoles and where receivers are few

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
    for (const Source& source : sources) check_field_job(source, receivers);
    std::tie(prepared_->nearest_m, prepared_->farthest_m) = offset_range_m(sources, receivers);
    // Few offsets are done sooner, and a little more exactly, each by its own contours.
    constexpr std::size_t worth_sharing = 6;
    prepared_->loops.resize(sources.size());
    if (receivers.size() >= worth_sharing) {
        prepared_->groups = group_dipoles(sources, receivers);
        for (std::size_t i = 0; i < sources.size(); ++i)
            if (const auto* loop = std::get_if<Loop>(&sources[i]))
                prepared_->loops[i] = std::make_unique<LoopBatch>(*loop, receivers);
    }
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
        const LoopBatch* batch = options.reference ? nullptr : prepared_->loops[i].get();
        if (batch != nullptr) batch->compute(shared, row);
        for (std::size_t j = 0; j < row.size(); ++j) {
            if (batch != nullptr && batch->has(j)) continue;
            std::optional<FieldResult> near;
            if (!options.reference && !loop.is_far(receivers[j]))
                near = near_loop_field(shared, loop, receivers[j]);
            row[j] = near                ? *near
                     : options.reference ? loop_field(direct, loop, receivers[j], options.tolerance_rel)
                                         : loop_field(shared, loop, receivers[j], options.tolerance_rel);
        }
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
