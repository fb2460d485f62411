#include "scheduler/emission/sweep_emission.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "model/bridge/bridge.hpp"
#include "model/emission/free_space_dipole.hpp"
#include "model/transmitter/operating_point.hpp"
#include "scheduler/emission/ground_field.hpp"
#include "scheduler/plan/placement_rules.hpp"

namespace ampturn::emission {
namespace {

using model::emission::EmissionLimit;
using model::emission::LimitedField;

std::vector<LimitVerdict> limits_of(const plan::Plan& plan) {
    std::vector<LimitVerdict> out;
    if (!plan.emission) return out;
    for (const model::emission::LimitTable table : plan.emission->limit_tables)
        for (EmissionLimit& limit : model::emission::limits_of(table))
            out.push_back({std::move(limit), "emission.limit_tables", {}});
    for (std::size_t i = 0; i < plan.emission->limits.size(); ++i) {
        const plan::OwnEmissionLimit& own = plan.emission->limits[i];
        const bool magnetic = own.h_dbua_per_m.has_value();
        const double db = magnetic ? *own.h_dbua_per_m : own.e_dbuv_per_m.value();
        out.push_back({{.name = own.name,
                        .low_hz = own.low_hz,
                        .high_hz = own.high_hz,
                        .distance_m = own.distance_m,
                        .field = magnetic ? LimitedField::magnetic : LimitedField::electric,
                        .level = model::emission::per_m_of_db_micro(db),
                        .level_hz = own.high_hz,
                        .falling_power = 0,
                        .source = "the plan"},
                       fmt::format("emission.limit[{}]", i + 1),
                       {}});
    }
    return out;
}

/// All that the transmitter sends, step by step, each step's fundamental first.
std::vector<Line> lines_of(const plan::Plan& plan, const setup::SweepSetup& setup) {
    const model::transmitter::Transmitter& transmitter = setup.transmitter;
    const model::transmitter::Conditions at = setup::largest_current_conditions(plan, transmitter);
    std::vector<Line> out;
    for (const setup::TableRow& row : setup.table.rows) {
        const auto point = model::transmitter::solve_operating_point(transmitter, at, row.request);
        if (!point.solved) continue;
        const std::size_t first = model::loop::index_of(row.loop);
        const bool both = row.loop == model::loop::LoopSelection::both;
        const auto moment_of = [&](std::size_t loop, const model::bridge::BridgeCurrent& current,
                                   std::size_t slot) {
            const auto& taps = loop == 0 ? transmitter.taps_a : transmitter.taps_b;
            if (taps.empty()) return 0.0;
            const auto& tap =
                taps[std::min(static_cast<std::size_t>(row.request.tap_index), taps.size() - 1)];
            return tap.moment_per_ampere_m2() * current.harmonic_peak_a[slot] / std::numbers::sqrt2;
        };
        for (std::size_t slot = 0; slot < static_cast<std::size_t>(model::bridge::harmonic_slots); ++slot) {
            const int order = 2 * static_cast<int>(slot) + 1;
            Line line{row.step_number, row.loop, order, order * row.request.frequency_hz, {}};
            line.moment_a_m2_rms[first] = moment_of(first, point.current, slot);
            line.moment_a_m2_rms[1 - first] = moment_of(1 - first, both ? point.current_b : point.idle, slot);
            out.push_back(line);
        }
    }
    return out;
}

class Emission {
  public:
    Emission(const plan::Plan& plan, const setup::SweepSetup& setup, std::vector<LimitVerdict> limits)
        : limits_(std::move(limits)),
          ground_(setup.earth,
                  {setup.transmitter.design.loop_a,
                   setup.transmitter.design.loop_b.value_or(setup.transmitter.design.loop_a)},
                  distances_of(limits_)),
          lines_(lines_of(plan, setup)) {}

    SweepEmission of(const std::vector<plan::AvoidedService>& services) {
        SweepEmission out;
        for (const Line& line : lines_) {
            if (line.order == 1) out.steps.push_back(told(line));
            const std::optional<AgainstLimit> worst = judge(line);
            if (!worst) continue;
            keep_worse(out.steps.back().worst, *worst);
            if (line.order == 1 || !(worst->excess_db() > 0)) continue;
            for (const plan::AvoidedService& service : services)
                if (service.holds(line.frequency_hz)) out.harmonics.push_back({service, *worst});
        }
        out.verdicts = std::move(limits_);
        for (const plan::AvoidedService& service : services) add_service(service, out.services);
        return out;
    }

  private:
    static std::vector<double> distances_of(const std::vector<LimitVerdict>& limits) {
        std::vector<double> out(told_distances_m.begin(), told_distances_m.end());
        for (const LimitVerdict& v : limits)
            if (std::find(out.begin(), out.end(), v.limit.distance_m) == out.end())
                out.push_back(v.limit.distance_m);
        return out;
    }

    FieldStrength field_of(const Line& line, double distance_m) {
        const auto free = model::emission::free_space_field(
            {.moment_a_m2 = line.moment_a_m2_rms[0] + line.moment_a_m2_rms[1],
             .frequency_hz = line.frequency_hz,
             .distance_m = distance_m});
        FieldStrength out{distance_m, free.largest_h_a_per_m(), free.equator_e_v_per_m, std::nullopt};
        double sum = 0;
        for (std::size_t loop = 0; loop < 2; ++loop) {
            const auto per_moment = ground_.h_a_per_m(loop, line.frequency_hz, distance_m);
            if (!per_moment) return out;
            sum += line.moment_a_m2_rms[loop] * *per_moment;
        }
        out.ground_h_a_per_m = sum;
        return out;
    }

    StepEmission told(const Line& line) {
        StepEmission step{line, {}, std::nullopt};
        for (std::size_t i = 0; i < told_distances_m.size(); ++i)
            step.at[i] = field_of(line, told_distances_m[i]);
        return step;
    }

    static void keep_worse(std::optional<AgainstLimit>& worst, const AgainstLimit& found) {
        if (!worst || found.excess_db() > worst->excess_db()) worst = found;
    }

    // Against every limit that holds at the line; the limit that it does worst against.
    std::optional<AgainstLimit> judge(const Line& line) {
        std::optional<AgainstLimit> worst;
        for (std::size_t i = 0; i < limits_.size(); ++i) {
            const EmissionLimit& limit = limits_[i].limit;
            if (!limit.holds_at(line.frequency_hz)) continue;
            const FieldStrength field = field_of(line, limit.distance_m);
            const AgainstLimit found{line, field, field.counted(limit.field),
                                     limit.level_at(line.frequency_hz), i};
            keep_worse(limits_[i].worst, found);
            keep_worse(worst, found);
        }
        return worst;
    }

    void add_service(const plan::AvoidedService& service, std::vector<ServiceHit>& out) {
        std::optional<ServiceHit> hit;
        for (const Line& line : lines_) {
            if (!service.holds(line.frequency_hz)) continue;
            const ServiceHit found{service, line, field_of(line, told_distances_m.front()),
                                   hit ? hit->lines + 1 : 1};
            const bool stronger = !hit || found.field.largest_h_a_per_m() > hit->field.largest_h_a_per_m();
            if (stronger)
                hit = found;
            else
                hit->lines = found.lines;
        }
        if (hit) out.push_back(*hit);
    }

    std::vector<LimitVerdict> limits_;
    GroundField ground_;
    std::vector<Line> lines_;
};

}  // namespace

double FieldStrength::largest_h_a_per_m() const {
    return std::max(free_h_a_per_m, ground_h_a_per_m.value_or(0));
}

double FieldStrength::counted_e_v_per_m() const {
    return std::max(free_e_v_per_m, model::emission::wave_impedance_ohm() * largest_h_a_per_m());
}

double FieldStrength::counted(LimitedField field) const {
    return field == LimitedField::magnetic ? largest_h_a_per_m() : counted_e_v_per_m();
}

double AgainstLimit::excess_db() const { return 20 * std::log10(strength / allowed); }

SweepEmission emission_of(const plan::Plan& plan, const setup::SweepSetup& setup) {
    return Emission(plan, setup, limits_of(plan)).of(plan::avoided_services_of(plan));
}

}  // namespace ampturn::emission
