#include "scheduler/setup/keep_out.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <vector>

#include "model/loop/exposure.hpp"
#include "model/transmitter/operating_point.hpp"
#include "scheduler/setup/safety_figure.hpp"

namespace ampturn::setup {
namespace {

/// Fundamental and harmonics of the current, times the turns.
std::vector<model::loop::CurrentLine> ampere_turns_of(const model::transmitter::OperatingPoint& point,
                                                      int turns, double frequency_hz) {
    std::vector<model::loop::CurrentLine> lines;
    for (int slot = 0; slot < model::bridge::harmonic_slots; ++slot)
        lines.push_back({.frequency_hz = (2 * slot + 1) * frequency_hz,
                         .rms_a = turns * point.current.harmonic_peak_a[static_cast<std::size_t>(slot)] /
                                  std::sqrt(2.0)});
    return lines;
}

model::loop::ExposureLevels levels_of(const plan::Safety& safety) {
    constexpr double t_per_ut = 1e-6;
    switch (safety.exposure_levels) {
        case plan::ExposureSet::icnirp:
            return {.set = model::loop::ExposureLevels::Set::icnirp};
        case plan::ExposureSet::eu:
            return {.set = model::loop::ExposureLevels::Set::eu};
        case plan::ExposureSet::own:
            return {.set = model::loop::ExposureLevels::Set::own,
                    .own_public_t = t_per_ut * safety.own_public_b_ut.value(),
                    .own_occupational_t = t_per_ut * safety.own_occupational_b_ut.value()};
    }
    throw std::logic_error("exposure levels unknown");
}

}  // namespace

std::string exposure_levels_text(const plan::Safety& safety) {
    switch (safety.exposure_levels) {
        case plan::ExposureSet::icnirp:
            return "ICNIRP 2010 and 2020 levels";
        case plan::ExposureSet::eu:
            return "1999/519/EC and 2013/35/EU levels";
        case plan::ExposureSet::own:
            return fmt::format("own levels {:g} and {:g} uT", safety.own_public_b_ut.value(),
                               safety.own_occupational_b_ut.value());
    }
    throw std::logic_error("exposure levels unknown");
}

KeepOut keep_out_of(const plan::Plan& plan, const model::transmitter::Transmitter& transmitter,
                    const PlannedTable& table) {
    KeepOut out{};
    const model::loop::ExposureLevels levels = levels_of(plan.safety);
    const double cold_c = plan.day.air_temperature_c(plan.day.start_s);
    const model::transmitter::Conditions conditions{
        .winding_c = {cold_c, cold_c},
        .electronics_c = cold_c,
        .battery = model::transmitter::battery_source(transmitter.design.battery, 1, cold_c)};
    for (const model::loop::LoopSelection loop : model::loop::each_loop) {
        // Field index per tesla and ampere-turn; the largest over the steps of the loop decides.
        double sum_public = 0, sum_occupational = 0;
        for (const TableRow& row : table.rows) {
            if (!model::loop::feeds(row.loop, loop)) continue;
            model::transmitter::DriveRequest request = row.request;
            request.loop = loop;
            const model::transmitter::OperatingPoint point =
                model::transmitter::solve_operating_point(transmitter, conditions, request);
            if (!point.solved) continue;
            const std::vector<model::loop::CurrentLine> lines = ampere_turns_of(
                point, model::transmitter::selected_tap(transmitter, request).turns, request.frequency_hz);
            sum_public = std::max(sum_public, model::loop::exposure_sum_a_per_t(
                                                  levels, model::loop::ExposureGroup::general_public, lines));
            sum_occupational = std::max(
                sum_occupational,
                model::loop::exposure_sum_a_per_t(levels, model::loop::ExposureGroup::occupational, lines));
            if (request.capacitor_index >= 0) {
                out.capacitor_peak_v = std::max(out.capacitor_peak_v, point.current.capacitor_peak_v);
                // The slowest step decides: a large capacitor at few volts takes longer than a small one at many.
                const auto seconds_to = [&](double volts) {
                    return model::transmitter::discharge_time_s(
                               transmitter.design
                                   .capacitors[static_cast<std::size_t>(request.capacitor_index)],
                               point.current.capacitor_peak_v, volts)
                        .value_or(std::numeric_limits<double>::infinity());
                };
                out.capacitor_to_safe_s =
                    std::max(out.capacitor_to_safe_s, seconds_to(plan.safety.safe_capacitor_v));
                out.capacitor_to_60_v_s = std::max(out.capacitor_to_60_v_s, seconds_to(60));
            }
        }
        if (!(sum_public > 0)) continue;
        const std::vector<model::loop::LoopPoint> wire = model::loop::placed_vertices(
            loop == model::loop::LoopSelection::a ? transmitter.design.loop_a : *transmitter.design.loop_b);
        out.public_m = std::max(out.public_m, model::loop::keep_out_distance_m(wire, 1 / sum_public));
        out.occupational_m =
            std::max(out.occupational_m, model::loop::keep_out_distance_m(wire, 1 / sum_occupational));
    }
    out.public_m = rounded_up_to_tenth(out.public_m + plan.safety.keep_out_margin_m);
    out.occupational_m = rounded_up_to_tenth(out.occupational_m + plan.safety.keep_out_margin_m);
    out.capacitor_to_safe_s = rounded_up_to_tenth(out.capacitor_to_safe_s);
    out.capacitor_to_60_v_s = rounded_up_to_tenth(out.capacitor_to_60_v_s);
    return out;
}

}  // namespace ampturn::setup
