#include "model/fields/loop_batch.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "model/base/gauss_legendre.hpp"

namespace ampturn::model::fields {

LoopBatch::LoopBatch(const Loop& loop, std::span<const Receiver> receivers)
    : has_(receivers.size(), false), quadrature_(loop) {
    std::vector<std::pair<double, std::size_t>> far;
    for (std::size_t i = 0; i < receivers.size(); ++i) {
        if (!quadrature_.is_far(receivers[i])) continue;
        has_[i] = true;
        far.emplace_back(quadrature_.distance_m(receivers[i]), i);
    }
    std::sort(far.begin(), far.end());
    const double radius_m = loop_radius_m(loop);
    const bool parallelogram = quadrature_.is_parallelogram();
    for (const auto& [distance_m, i] : far) {
        place_.push_back(i);
        receivers_.push_back(receivers[i]);
        ratios_.push_back(parallelogram ? std::optional(distance_m / radius_m) : std::nullopt);
    }
    const bool on_the_ground = std::all_of(receivers_.begin(), receivers_.end(),
                                           [](const Receiver& receiver) { return receiver.z_m == 0; });
    if (on_the_ground) half_height_m_ = quadrature_.column_half_height_m();
}

const LoopBatch::Rule& LoopBatch::rule(std::size_t index, bool columns) const {
    Kept& kept = columns ? columns_ : points_;
    std::call_once(kept.made[index], [&] {
        Rule& made = kept.rules[index];
        made.order = loop_orders[index];
        if (columns) {
            made.model = SourceModel::dipole_columns;
            for (const Dipole& dipole : quadrature_.columns(made.order)) made.dipoles.emplace_back(dipole);
        } else if (made.order == 1) {
            made.model = SourceModel::dipole;
            made.dipoles.emplace_back(quadrature_.whole());
        } else {
            const std::scoped_lock lock(mutex_);
            for (const Dipole& dipole : quadrature_.far_dipoles(made.order))
                made.dipoles.emplace_back(dipole);
        }
        made.groups = group_dipoles(made.dipoles, receivers_);
        if (made.model == SourceModel::dipole_columns)
            for (SourceGroup& group : made.groups) group.half_height_m = half_height_m_;
    });
    return kept.rules[index];
}

/// A dipole of the rule, or a column by the points of the rule along it.
Estimate LoopBatch::at(const Rule& rule, const Dipole& dipole, const Receiver& receiver,
                       InterpolatedFields& shared) const {
    if (rule.model != SourceModel::dipole_columns) return shared.at(dipole, receiver);
    const GaussLegendre along = gauss_legendre(rule.order);
    Estimate sum;
    for (std::size_t i = 0; i < along.nodes.size(); ++i) {
        Dipole part = dipole;
        for (double& moment : part.moment_a_m2) moment *= 0.5 * along.weights[i];
        part.height_m = std::max(0.0, part.height_m + along.nodes[i] * half_height_m_);
        add(shared.at(part, receiver), sum);
    }
    return sum;
}

std::vector<std::size_t> LoopBatch::first_orders(double tolerance_rel) const {
    std::vector<std::size_t> out(ratios_.size(), 0);
    // The nearest first: the next one begins with the same rule, or a coarser one.
    for (std::size_t j = 0, index = loop_orders.size() - 2; j < out.size() && ratios_[j]; ++j)
        out[j] = index = first_order(*ratios_[j], tolerance_rel, index);
    return out;
}

void LoopBatch::sum(const Rule& rule, std::size_t begin, std::size_t end, InterpolatedFields& shared,
                    std::span<Estimate> sums) const {
    const std::span<const Receiver> receivers(receivers_.data(), end);
    std::fill(sums.begin() + static_cast<std::ptrdiff_t>(begin),
              sums.begin() + static_cast<std::ptrdiff_t>(end), Estimate{});
    for (const SourceGroup& group : rule.groups)
        add_fields(
            group, receivers, begin, shared,
            [&](std::size_t source, std::size_t receiver) {
                return at(rule, std::get<Dipole>(rule.dipoles[source]), receivers[receiver], shared);
            },
            sums);
}

void LoopBatch::compute(InterpolatedFields& shared, std::span<FieldResult> results) const {
    const double tolerance_rel = shared.tolerance_rel();
    // A column's direct wave is summed by a rule for columns short against the wavelength.
    constexpr double longest_column_rad = 0.5;
    const integrals::LayerKernels& kernels = shared.kernels();
    const bool columns = half_height_m_ > 0 &&
                         !(kernels.full_wave() && kernels.k0_per_m() * half_height_m_ > longest_column_rad);
    const std::vector<std::size_t> first = first_orders(tolerance_rel);
    std::vector<Estimate> sums(receivers_.size());
    std::vector<std::optional<LoopConvergence>> convergence(receivers_.size());
    std::vector<bool> done(receivers_.size(), false);
    // The nearer a receiver, the finer the rules it needs: those it begins with and those that are done lie, but for a few,
    // at the two ends.
    std::size_t end = receivers_.size();
    for (std::size_t i = 0; end > 0; ++i) {
        const auto begin = static_cast<std::size_t>(
            std::partition_point(first.begin(), first.end(), [&](std::size_t at) { return at > i; }) -
            first.begin());
        if (begin >= end) continue;
        const Rule& here = rule(i, columns);
        sum(here, begin, end, shared, sums);
        for (std::size_t j = begin; j < end; ++j) {
            if (done[j]) continue;
            if (!convergence[j]) {
                convergence[j].emplace(sums[j], here.order, here.model, ratios_[j]);
                continue;
            }
            const auto result =
                convergence[j]->next(sums[j], here.order, here.model, here.dipoles.size(), tolerance_rel);
            if (!result) continue;
            results[place_[j]] = *result;
            done[j] = true;
        }
        while (end > 0 && done[end - 1]) --end;
    }
}

}  // namespace ampturn::model::fields
