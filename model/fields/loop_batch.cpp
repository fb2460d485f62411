#include "model/fields/loop_batch.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

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
}

const LoopBatch::Rule& LoopBatch::rule(std::size_t index) const {
    std::call_once(made_[index], [&] {
        Rule& made = rules_[index];
        if (index == 0) {
            made.dipoles.emplace_back(quadrature_.whole());
        } else {
            const std::scoped_lock lock(mutex_);
            for (const Dipole& dipole : quadrature_.far_dipoles(loop_orders[index]))
                made.dipoles.emplace_back(dipole);
        }
        made.groups = group_dipoles(made.dipoles, receivers_);
    });
    return rules_[index];
}

std::vector<std::size_t> LoopBatch::first_orders(double tolerance_rel) const {
    std::vector<std::size_t> out;
    for (const std::optional<double>& ratio : ratios_)
        out.push_back(ratio ? first_order(*ratio, tolerance_rel) : 0);
    return out;
}

void LoopBatch::sum(const Rule& rule, std::size_t begin, std::size_t end, InterpolatedFields& shared,
                    std::vector<FieldResult>& scratch, std::span<Estimate> sums) const {
    const std::span<const Receiver> receivers(receivers_.data(), end);
    std::fill(sums.begin() + static_cast<std::ptrdiff_t>(begin),
              sums.begin() + static_cast<std::ptrdiff_t>(end), Estimate{});
    scratch.resize(end);
    for (const SourceGroup& group : rule.groups)
        for (const SourceGroup::Member& member : group.members) {
            const auto fallback = [&](std::size_t, std::size_t receiver) {
                const Estimate x =
                    shared.at(std::get<Dipole>(rule.dipoles[member.source]), receivers[receiver]);
                return FieldResult{.fields = x.fields,
                                   .e_error_v_per_m = x.e_error,
                                   .h_error_a_per_m = x.h_error,
                                   .integration = x.integration,
                                   .source_model = SourceModel::dipole,
                                   .dipoles = 1};
            };
            batch_fields(group, member, receivers, begin, shared, fallback, scratch);
            for (std::size_t j = begin; j < end; ++j) {
                const FieldResult& r = scratch[j];
                add({r.fields, r.e_error_v_per_m, r.h_error_a_per_m, r.integration}, sums[j]);
            }
        }
}

void LoopBatch::compute(InterpolatedFields& shared, std::span<FieldResult> results) const {
    const double tolerance_rel = shared.tolerance_rel();
    const std::vector<std::size_t> first = first_orders(tolerance_rel);
    std::vector<FieldResult> scratch;
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
        const Rule& here = rule(i);
        sum(here, begin, end, shared, scratch, sums);
        for (std::size_t j = begin; j < end; ++j) {
            if (done[j]) continue;
            if (!convergence[j]) {
                convergence[j].emplace(sums[j], loop_orders[i], ratios_[j]);
                continue;
            }
            const auto result =
                convergence[j]->next(sums[j], loop_orders[i], here.dipoles.size(), tolerance_rel);
            if (!result) continue;
            results[place_[j]] = *result;
            done[j] = true;
        }
        while (end > 0 && done[end - 1]) --end;
    }
}

}  // namespace ampturn::model::fields
