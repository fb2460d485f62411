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
    for (const auto& [distance_m, i] : far) {
        place_.push_back(i);
        receivers_.push_back(receivers[i]);
    }
}

const LoopBatch::Rule& LoopBatch::rule(std::size_t index) const {
    std::call_once(made_[index], [&] {
        Rule& made = rules_[index];
        if (index == 0) {
            made.dipoles.emplace_back(quadrature_.whole());
        } else {
            const std::scoped_lock lock(mutex_);
            for (const Dipole& dipole : quadrature_.far_dipoles(loop_orders[index - 1]))
                made.dipoles.emplace_back(dipole);
        }
        made.groups = group_dipoles(made.dipoles, receivers_);
    });
    return rules_[index];
}

void LoopBatch::sum(const Rule& rule, std::size_t count, InterpolatedFields& shared,
                    std::vector<FieldResult>& scratch, std::span<Estimate> sums) const {
    const std::span<const Receiver> receivers(receivers_.data(), count);
    std::fill(sums.begin(), sums.begin() + static_cast<std::ptrdiff_t>(count), Estimate{});
    for (const SourceGroup& group : rule.groups)
        for (const SourceGroup::Member& member : group.members) {
            scratch.resize(count);
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
            batch_fields(group, member, receivers, shared, fallback, scratch);
            for (std::size_t j = 0; j < count; ++j) {
                const FieldResult& r = scratch[j];
                add({r.fields, r.e_error_v_per_m, r.h_error_a_per_m, r.integration}, sums[j]);
            }
        }
}

void LoopBatch::compute(InterpolatedFields& shared, std::span<FieldResult> results) const {
    std::vector<FieldResult> scratch;
    std::vector<Estimate> sums(receivers_.size());
    sum(rule(0), receivers_.size(), shared, scratch, sums);
    std::vector<LoopConvergence> convergence;
    for (const Estimate& whole : sums) convergence.emplace_back(whole);
    std::vector<bool> done(receivers_.size(), false);
    // The nearer a receiver, the finer the rule it needs: those that are done are, but for a few, the last ones.
    std::size_t open = receivers_.size();
    for (std::size_t i = 0; open > 0; ++i) {
        const Rule& finer = rule(i + 1);
        sum(finer, open, shared, scratch, sums);
        for (std::size_t j = 0; j < open; ++j) {
            if (done[j]) continue;
            const auto result = convergence[j].next(sums[j], finer.dipoles.size(),
                                                    i + 1 == loop_orders.size(), shared.tolerance_rel());
            if (!result) continue;
            results[place_[j]] = *result;
            done[j] = true;
        }
        while (open > 0 && done[open - 1]) --open;
    }
}

}  // namespace ampturn::model::fields
