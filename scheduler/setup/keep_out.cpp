#include "scheduler/setup/keep_out.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <stdexcept>
#include <vector>

#include "model/base/constants.hpp"
#include "model/loop/electric_exposure.hpp"
#include "model/loop/exposure.hpp"
#include "model/transmitter/operating_point.hpp"
#include "scheduler/setup/safety_figure.hpp"

namespace ampturn::setup {
namespace {

using model::loop::CurrentLine;
using model::loop::ExposureGroup;
using model::transmitter::OperatingPoint;
using model::transmitter::Transmitter;

constexpr std::array groups{ExposureGroup::general_public, ExposureGroup::occupational};

/// Fundamental and harmonics of a loop's current, times the turns.
std::vector<CurrentLine> ampere_turns_of(const model::bridge::BridgeCurrent& current, int turns,
                                         double frequency_hz) {
    std::vector<CurrentLine> lines;
    for (int slot = 0; slot < model::bridge::harmonic_slots; ++slot)
        lines.push_back(
            {.frequency_hz = (2 * slot + 1) * frequency_hz,
             .rms_a = turns * current.harmonic_peak_a[static_cast<std::size_t>(slot)] / std::sqrt(2.0)});
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

/// What one loop adds to the indices of a step, by group: per flux density, per volt's field, per vector potential.
struct LoopShare {
    std::array<double, 2> per_tesla{}, volts{}, per_weber_m{};
};

struct SteppedLoops {
    std::array<LoopShare, 2> loop;
    bool carries(std::size_t i) const { return loop[i].per_tesla.front() > 0; }
};

class KeepOutSearch {
  public:
    KeepOutSearch(const plan::Plan& plan, const Transmitter& transmitter)
        : plan_(plan),
          transmitter_(transmitter),
          levels_(levels_of(plan.safety)),
          at_(largest_current_conditions(plan, transmitter)) {
        for (const model::loop::LoopSelection loop : model::loop::each_loop) {
            const bool a = loop == model::loop::LoopSelection::a;
            const model::loop::LoopDesign& design =
                a ? transmitter.design.loop_a : *transmitter.design.loop_b;
            wires_.push_back(model::loop::placed_vertices(design));
            // A circle's 256 sides are more than the electric field needs.
            std::vector<model::loop::LoopPoint> outline;
            const std::size_t every = wires_.back().size() > 64 ? 8 : 1;
            for (std::size_t i = 0; i < wires_.back().size(); i += every) outline.push_back(wires_.back()[i]);
            charged_.emplace_back(
                std::move(outline),
                model::loop::outer_bundle_radius_m(transmitter.taps(loop).back().turns, design.pitch_m));
        }
    }

    KeepOut of(const PlannedTable& table) {
        for (const TableRow& row : table.rows) add(row);
        add_single_loops();
        const double margin_m = plan_.safety.keep_out_margin_m;
        const auto told = [&](double farthest_m) { return rounded_up_to_tenth(farthest_m + margin_m); };
        out_.magnetic_public_m = told(magnetic_m_[0]);
        out_.magnetic_occupational_m = told(magnetic_m_[1]);
        out_.electric_public_m = told(electric_m_[0]);
        out_.electric_occupational_m = told(electric_m_[1]);
        out_.public_m = std::max(out_.magnetic_public_m, out_.electric_public_m);
        out_.occupational_m = std::max(out_.magnetic_occupational_m, out_.electric_occupational_m);
        out_.capacitor_to_safe_s = rounded_up_to_tenth(out_.capacitor_to_safe_s);
        out_.capacitor_to_60_v_s = rounded_up_to_tenth(out_.capacitor_to_60_v_s);
        return out_;
    }

  private:
    void add(const TableRow& row) {
        const OperatingPoint point =
            model::transmitter::solve_operating_point(transmitter_, at_, row.request);
        if (!point.solved) return;
        const bool both = row.loop == model::loop::LoopSelection::both;
        const std::size_t first = model::loop::index_of(row.loop);
        const std::size_t second = model::loop::index_of(model::loop::other_of(row.loop));
        SteppedLoops step;
        step.loop[first] = share_of(row, first, point.current, point.bus_v);
        const model::bridge::BridgeCurrent& beside = both ? point.current_b : point.idle;
        if (beside.fundamental_peak_a > 0)
            step.loop[second] = share_of(row, second, beside, both ? point.bus_v : 0);
        if (step.carries(0) && step.carries(1))
            for (std::size_t g = 0; g < groups.size(); ++g) add_together(step.loop, g);
        else
            for (std::size_t g = 0; g < groups.size(); ++g)
                for (std::size_t i = 0; i < 2; ++i) {
                    LoopShare& most = alone_[i];
                    const LoopShare& now = step.loop[i];
                    most.per_tesla[g] = std::max(most.per_tesla[g], now.per_tesla[g]);
                    most.volts[g] = std::max(most.volts[g], now.volts[g]);
                    most.per_weber_m[g] = std::max(most.per_weber_m[g], now.per_weber_m[g]);
                }
        if (row.request.capacitor_index < 0) return;
        const double peak_v = point.largest_capacitor_peak_v();
        out_.capacitor_peak_v = std::max(out_.capacitor_peak_v, peak_v);
        // The slowest step decides: a large capacitor at few volts takes longer than a small one at many.
        const auto seconds_to = [&](double volts) {
            return model::transmitter::discharge_time_s(
                       transmitter_.design.capacitors[static_cast<std::size_t>(row.request.capacitor_index)],
                       peak_v, volts)
                .value_or(std::numeric_limits<double>::infinity());
        };
        out_.capacitor_to_safe_s =
            std::max(out_.capacitor_to_safe_s, seconds_to(plan_.safety.safe_capacitor_v));
        out_.capacitor_to_60_v_s = std::max(out_.capacitor_to_60_v_s, seconds_to(60));
    }

    LoopShare share_of(const TableRow& row, std::size_t loop, const model::bridge::BridgeCurrent& current,
                       double bus_v) {
        const auto& taps = loop == 0 ? transmitter_.taps_a : transmitter_.taps_b;
        const model::loop::LoopTap& tap =
            taps[std::min(static_cast<std::size_t>(row.request.tap_index), taps.size() - 1)];
        const std::vector<CurrentLine> lines = ampere_turns_of(current, tap.turns, row.request.frequency_hz);
        LoopShare out;
        double squares = 0;
        for (std::size_t g = 0; g < groups.size(); ++g)
            out.per_tesla[g] = model::loop::exposure_sum_a_per_t(levels_, groups[g], lines);
        const std::vector<double> harmonics_v =
            bundle_volts_rms(taps, tap, at_.winding_c[loop], current, bus_v, row.request.frequency_hz);
        for (std::size_t slot = 0; slot < lines.size(); ++slot) {
            const double f = lines[slot].frequency_hz, volts = harmonics_v[slot];
            squares += volts * volts;
            for (std::size_t g = 0; g < groups.size(); ++g) {
                const double level = model::loop::icnirp2010_level_v_per_m(groups[g], f);
                if (!(level > 0)) continue;
                out.volts[g] += volts / level;
                out.per_weber_m[g] += 2 * model::pi * f * lines[slot].rms_a / level;
            }
        }
        out_.loop_to_ground_v_rms = std::max(out_.loop_to_ground_v_rms, std::sqrt(squares));
        return out;
    }

    void add_electric(const std::array<LoopShare, 2>& shares, std::size_t group) {
        std::vector<std::vector<model::loop::LoopPoint>> wires;
        for (std::size_t i = 0; i < 2; ++i)
            if (shares[i].volts[group] > 0)
                wires.emplace_back(charged_[i].vertices().begin(), charged_[i].vertices().end());
        if (wires.empty()) return;
        const double farthest_m = model::loop::index_distance_m(wires, [&](const model::loop::LoopPoint& p) {
            double sum = 0;
            for (std::size_t i = 0; i < 2; ++i)
                if (shares[i].volts[group] > 0)
                    sum += shares[i].volts[group] * charged_[i].field_per_volt(p) +
                           shares[i].per_weber_m[group] * charged_[i].vector_potential_per_ampere(p);
            return sum;
        });
        electric_m_[group] = std::max(electric_m_[group], farthest_m);
    }

    void add_magnetic(const LoopShare& share, std::size_t loop, std::size_t group) {
        magnetic_m_[group] = std::max(
            magnetic_m_[group], model::loop::keep_out_distance_m(wires_[loop], 1 / share.per_tesla[group]));
    }

    /// Both loops of one step; their flux densities added by size.
    void add_together(const std::array<LoopShare, 2>& shares, std::size_t group) {
        const double both_m = model::loop::index_distance_m(wires_, [&](const model::loop::LoopPoint& p) {
            return shares[0].per_tesla[group] * model::loop::polygon_field_magnitude_t(wires_[0], 1, p) +
                   shares[1].per_tesla[group] * model::loop::polygon_field_magnitude_t(wires_[1], 1, p);
        });
        magnetic_m_[group] = std::max(magnetic_m_[group], both_m);
        // Never nearer than one of them alone.
        for (std::size_t i = 0; i < 2; ++i) add_magnetic(shares[i], i, group);
        add_electric(shares, group);
    }

    /// The worst step of each loop that sends alone; its worst volts and worst current need not be one step's.
    void add_single_loops() {
        for (std::size_t i = 0; i < 2; ++i) {
            const LoopShare& worst = alone_[i];
            if (!(worst.per_tesla[0] > 0)) continue;
            std::array<LoopShare, 2> one{};
            one[i] = worst;
            for (std::size_t g = 0; g < groups.size(); ++g) {
                add_magnetic(worst, i, g);
                add_electric(one, g);
            }
        }
    }

    const plan::Plan& plan_;
    const Transmitter& transmitter_;
    model::loop::ExposureLevels levels_;
    model::transmitter::Conditions at_;
    std::vector<std::vector<model::loop::LoopPoint>> wires_;
    std::vector<model::loop::ChargedLoop> charged_;
    std::array<LoopShare, 2> alone_{};
    std::array<double, 2> magnetic_m_{}, electric_m_{};  // the farthest by group, without margin
    KeepOut out_{};
};

}  // namespace

const char* name_of(ExposureField field) {
    switch (field) {
        case ExposureField::magnetic:
            return "magnetic";
        case ExposureField::electric:
            return "electric";
    }
    return "?";
}

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

std::vector<double> bundle_volts_rms(const std::vector<model::loop::LoopTap>& taps,
                                     const model::loop::LoopTap& tap, double winding_c,
                                     const model::bridge::BridgeCurrent& current, double bus_v,
                                     double frequency_hz) {
    const double open_turns = static_cast<double>(taps.back().turns) / tap.turns;
    std::vector<double> out;
    for (std::size_t slot = 0; slot < model::bridge::harmonic_slots; ++slot) {
        const double order = 2 * static_cast<double>(slot) + 1, f = order * frequency_hz;
        const model::loop::LoopImpedance z = model::loop::loop_impedance(tap, winding_c, f);
        const double bridge_v = 4 * bus_v / (model::pi * order) / std::sqrt(2.0);
        const double loop_v = std::hypot(z.resistance_ohm, 2 * model::pi * f * z.inductance_h) *
                              current.harmonic_peak_a[slot] / std::sqrt(2.0) * open_turns;
        out.push_back(bridge_v + loop_v);
    }
    return out;
}

KeepOut keep_out_of(const plan::Plan& plan, const Transmitter& transmitter, const PlannedTable& table) {
    return KeepOutSearch(plan, transmitter).of(table);
}

}  // namespace ampturn::setup
