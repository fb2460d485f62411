#include "scheduler/transmitter/transmitter_sheet.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/base/constants.hpp"
#include "model/transmitter/best_choice.hpp"
#include "model/transmitter/heat_of.hpp"
#include "model/transmitter/steady_point.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/setup/cautions.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::transmitter {

namespace {

constexpr double heat_horizon_s = 36000;
constexpr double heat_period_s = 600;

class Sheet {
  public:
    Sheet(const plan::Plan& plan, const setup::SurveySetup& setup)
        : plan_(plan), transmitter_(setup.transmitter), table_(setup.table) {
        out_.table_crc32 = setup.table.crc32;
        out_.table_made_for = setup.table.made_for;
        out_.keep_out = setup.keep_out;
        out_.exposure_levels = setup::exposure_levels_text(plan_.safety);
        out_.over_current_trip_a_peak = setup.unit.over_current_ma / 1000.0;
        out_.air_c = plan.day.air_temperature_c(plan.day.start_s);
        out_.state_of_charge = plan.battery.state_of_charge_of(0);
        at_ = start_conditions(plan, transmitter_);
    }

    TransmitterSheet sheet(bool with_curves) {
        for (const setup::TableRow& planned : table_.rows) out_.rows.push_back(row(planned));
        if (with_curves) add_curves();
        add_coupling();
        add_remarks();
        out_.cautions = setup::cautions_of(plan_, out_.keep_out);
        return std::move(out_);
    }

  private:
    TransmitterRow row(const setup::TableRow& planned) const {
        TransmitterRow r;
        r.step_number = planned.step_number;
        r.loop = planned.loop;
        r.requested_hz = planned.requested_hz;
        r.frequency_hz = planned.frequency_hz;
        r.target_a_peak = planned.target_current_a_peak;
        model::transmitter::DriveRequest request = planned.request;
        r.chosen = point(request, model::transmitter::solve_operating_point(transmitter_, at_, request));
        request.fundamental_peak_a = model::transmitter::no_limit;
        request.hold_heat_at_c = out_.air_c;
        const model::transmitter::BestChoice best =
            model::transmitter::best_tap_and_capacitor(transmitter_, at_, request);
        const auto& taps = transmitter_.taps(planned.loop);
        request.heat_rms_a = model::transmitter::heat_limited_rms_a(
            transmitter_, taps[static_cast<std::size_t>(best.tap_index)], planned.frequency_hz, out_.air_c,
            1);
        request.tap_index = best.tap_index;
        request.capacitor_index = best.capacitor_index;
        r.best = point(request, best.point);
        return r;
    }

    TransmitterPoint point(const model::transmitter::DriveRequest& request,
                           const model::transmitter::OperatingPoint& solved) const {
        TransmitterPoint p;
        const model::loop::LoopTap& tap = model::transmitter::selected_tap(transmitter_, request);
        p.turns = tap.turns;
        p.capacitor = request.capacitor_index + 1;
        p.point = solved;
        p.self_resonance_hz = tap.self_resonance_hz;
        if (!solved.solved) return p;
        add_heat(p, request);
        if (const double moment = solved.moment_peak_a_m2 + solved.moment_b_peak_a_m2; moment > 0)
            p.energy_j_per_a_m2_s = solved.power.battery_w / moment;
        if (request.capacitor_index < 0) return p;
        const auto& capacitor =
            transmitter_.design.capacitors[static_cast<std::size_t>(request.capacitor_index)];
        p.capacitance_f = capacitor.capacitance_f;
        p.capacitor_to_50_v_s =
            model::transmitter::discharge_time_s(capacitor, solved.largest_capacitor_peak_v(), 50);
        p.capacitor_to_5_v_s =
            model::transmitter::discharge_time_s(capacitor, solved.largest_capacitor_peak_v(), 5);
        const auto detuned = [&](double factor) {
            model::transmitter::Conditions at = at_;
            for (auto& f : at.faults) f.capacitance_factor = factor;
            return model::transmitter::solve_operating_point(transmitter_, at, request, false)
                .current.fundamental_peak_a;
        };
        p.low_capacitance_a = detuned(1 - capacitor.tolerance);
        p.high_capacitance_a = detuned(1 + capacitor.tolerance);
        return p;
    }

    void add_heat(TransmitterPoint& p, const model::transmitter::DriveRequest& request) const {
        const model::transmitter::TransmitterLimits& limits = transmitter_.design.limits;
        // The hotter of the loops that carry current, as everywhere below.
        const bool b_hotter = request.loop == model::loop::LoopSelection::both &&
                              p.point.current_b.rms_a > p.point.current.rms_a;
        const model::transmitter::HeatInput heat = model::transmitter::heat_of(
            transmitter_, request, p.point,
            b_hotter ? model::loop::LoopSelection::b
                     : model::loop::each_loop[model::loop::index_of(request.loop)]);
        const auto& nodes = transmitter_.design.thermal;
        const model::transmitter::SteadyPoint steady =
            model::transmitter::steady_operating_point(transmitter_, at_, request, out_.air_c);
        if (steady.settled) {
            p.steady_winding_c = steady.temperatures.winding_c;
            p.steady_electronics_c = steady.temperatures.electronics_c;
            p.steady_moment_a_m2 = steady.point.moment_peak_a_m2;
        }
        p.limit_after_s = model::transmitter::time_to_heat_limit_s(transmitter_, request, p.point, out_.air_c,
                                                                   heat_horizon_s);
        p.duty_that_holds = model::transmitter::duty_to_hold_limit(nodes, heat, out_.air_c, limits.winding_c,
                                                                   limits.electronics_c, heat_period_s);
    }

    void add_curves() {
        double low = 1e300, high = 0;
        for (const TransmitterRow& r : out_.rows) {
            low = std::min(low, r.frequency_hz);
            high = std::max(high, r.frequency_hz);
        }
        low /= 2;
        high *= 2;
        constexpr int points = 61;
        for (std::size_t t = 0; t < transmitter_.taps_a.size(); ++t) {
            const model::loop::LoopTap& tap = transmitter_.taps_a[t];
            TransmitterCurve curve;
            curve.turns = tap.turns;
            curve.current_limit_a_m2 = std::min(std::sqrt(2.0) * transmitter_.design.limits.rms_a,
                                                transmitter_.design.limits.peak_a) *
                                       tap.moment_per_ampere_m2();
            for (int i = 0; i < points; ++i) {
                const double f = low * std::pow(high / low, static_cast<double>(i) / (points - 1));
                add_curve_point(curve, tap, static_cast<int>(t), f);
            }
            out_.curves.push_back(std::move(curve));
        }
    }

    void add_curve_point(TransmitterCurve& curve, const model::loop::LoopTap& tap, int tap_index,
                         double f) const {
        model::transmitter::DriveRequest request{.frequency_hz = f, .tap_index = tap_index};
        const auto moment = [&](const model::transmitter::Transmitter& transmitter) {
            return model::transmitter::solve_operating_point(transmitter, at_, request, false)
                .moment_peak_a_m2;
        };
        curve.frequency_hz.push_back(f);
        const double untuned = moment(transmitter_);
        curve.untuned_a_m2.push_back(untuned);
        double bank = untuned;
        for (int c = 0; c < static_cast<int>(transmitter_.design.capacitors.size()); ++c) {
            request.capacitor_index = c;
            bank = std::max(bank, moment(transmitter_));
        }
        curve.bank_a_m2.push_back(bank);
        if (transmitter_.design.driver.control == model::bridge::CurrentControl::clamp) {
            curve.tuned_a_m2.push_back(untuned);  // no capacitor with a clamped current
        } else {
            model::transmitter::Transmitter ideal = transmitter_;
            const double omega = 2 * model::pi * f;
            const double l = model::loop::loop_impedance(tap, at_.winding_c[0], f).inductance_h;
            ideal.design.capacitors = {{.capacitance_f = 1 / (omega * omega * l)}};
            request.capacitor_index = 0;
            curve.tuned_a_m2.push_back(moment(ideal));
        }
        curve.heat_limit_a_m2.push_back(
            std::sqrt(2.0) * tap.moment_per_ampere_m2() *
            model::transmitter::heat_limited_rms_a(transmitter_, tap, f, out_.air_c, 1));
    }

    void add_coupling() {
        if (transmitter_.taps_b.empty()) return;
        const model::loop::LoopTap& a = transmitter_.taps_a.back();
        const model::loop::LoopTap& b = transmitter_.taps_b.back();
        out_.mutual_h = transmitter_.mutual_one_turn_h * a.turns * b.turns;
        out_.coupling = out_.mutual_h / std::sqrt(a.inductance_dc_h * b.inductance_dc_h);
    }

    void add_remarks() {
        for (const TransmitterRow& r : out_.rows) {
            const std::string where = fmt::format("step {} ({}, loop {})", r.step_number,
                                                  base::frequency_text(r.frequency_hz), name_of(r.loop));
            const model::transmitter::OperatingPoint& p = r.chosen.point;
            if (!p.solved)
                out_.remarks.push_back(fmt::format(
                    "{}: no operating point: the load asks {} W more than the battery can deliver", where,
                    base::significant(p.shortfall, 3)));
            if (p.near_self_resonance)
                out_.remarks.push_back(
                    fmt::format("{}: within a third of the loop's self-resonance, estimated {} (+-40 %)",
                                where, base::frequency_text(r.chosen.self_resonance_hz)));
            if (p.leading && r.chosen.capacitor > 0)
                out_.remarks.push_back(
                    fmt::format("{}: the loop is capacitive (below its resonance at {}): "
                                "switches turn on against conducting diodes",
                                where, base::frequency_text(p.resonance_hz)));
            if (p.solved && !r.chosen.steady_winding_c)
                out_.remarks.push_back(fmt::format("{}: thermal runaway if sent for ever", where));
            if (r.chosen.capacitor > 0 && !r.chosen.capacitor_to_50_v_s)
                out_.remarks.push_back(fmt::format("{}: the capacitor reaches {} V and has no bleed resistor",
                                                   where,
                                                   base::significant(p.largest_capacitor_peak_v(), 3)));
            if (p.idle.fundamental_peak_a > 0)
                out_.remarks.push_back(fmt::format(
                    "{}: the idle loop, closed, carries {} A peak of the same frequency by induction, {} % of what is sent: "
                    "the two polarisations mix",
                    where, base::significant(p.idle.fundamental_peak_a, 2),
                    base::significant(100 * p.idle.fundamental_peak_a / p.current.fundamental_peak_a, 2)));
        }
        if (plan_.battery.chemistry == plan::Chemistry::lifepo4 &&
            out_.air_c < model::transmitter::lifepo4_charge_min_c)
            out_.remarks.push_back("LiFePO4 at below 0 C must not be charged (common practice, no source)");
        if (plan_.battery.chemistry != plan::Chemistry::lifepo4 &&
            !model::transmitter::ieee485_factor(plan_.battery.temperature_c.value_or(out_.air_c)).inside)
            out_.remarks.push_back(
                "battery temperature outside the capacity table (-3.9 to 51.7 C): the slope of its end is continued");
    }

    const plan::Plan& plan_;
    const model::transmitter::Transmitter& transmitter_;
    const setup::PlannedTable& table_;
    model::transmitter::Conditions at_;
    TransmitterSheet out_;
};

}  // namespace

model::transmitter::Conditions start_conditions(const plan::Plan& plan,
                                                const model::transmitter::Transmitter& transmitter) {
    const double air_c = plan.day.air_temperature_c(plan.day.start_s);
    model::transmitter::Conditions at;
    at.winding_c = {air_c, air_c};
    at.electronics_c = air_c;
    at.battery =
        model::transmitter::battery_source(transmitter.design.battery, plan.battery.state_of_charge_of(0),
                                           plan.battery.temperature_c.value_or(air_c));
    return at;
}

TransmitterSheet transmitter_sheet_of(const plan::Plan& plan, bool with_curves) {
    const setup::SurveySetup setup = setup::survey_setup_of(plan);
    return Sheet(plan, setup).sheet(with_curves);
}

}  // namespace ampturn::transmitter
