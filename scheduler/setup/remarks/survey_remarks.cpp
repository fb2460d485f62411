#include "scheduler/setup/remarks/survey_remarks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "model/base/constants.hpp"
#include "model/base/skin_depth.hpp"
#include "model/ground/plane_wave.hpp"
#include "model/transmitter/battery.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/plan/station_own.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"
#include "scheduler/setup/remarks/relief_remarks.hpp"
#include "scheduler/setup/safety_figure.hpp"
#include "scheduler/setup/step_rise.hpp"

namespace ampturn::setup::remarks {
namespace {

using plan::Remarks;

double highest_hz(const SurveySetup& setup) {
    return *std::max_element(setup.frequencies_hz.begin(), setup.frequencies_hz.end());
}

void remark_wire(const plan::Plan& plan, const SurveySetup& setup, Remarks& remarks) {
    // The station whose wire cuts off the most.
    plan::Receiver receiver = plan::receiver_of(plan, plan.stations.front());
    for (const plan::Station& station : plan.stations) {
        const plan::Receiver here = plan::receiver_of(plan, station);
        if (wire_corner_hz(here) < wire_corner_hz(receiver)) receiver = here;
    }
    const double f = highest_hz(setup);
    const std::complex<double> wire = wire_response_of(receiver, f);
    const double rho_percent = 100 * (std::norm(wire) - 1), phase_deg = std::arg(wire) * 180 / model::pi;
    if (std::abs(rho_percent) <= plan.targets.rho_bias_percent &&
        std::abs(phase_deg) <= plan.targets.phase_bias_deg)
        return;
    remarks.add(
        "receiver.wire_low_pass",
        fmt::format(
            "contact resistance and wire are a low-pass with its corner at {}: at {} it makes apparent "
            "resistivity {} % and phase {} deg wrong. Shorter dipoles, lower contact resistance, "
            "amplifiers at the electrodes (\"buffered\") or \"corrected\" records mend it",
            base::frequency_text(wire_corner_hz(receiver)), base::frequency_text(f),
            base::signed_brief(rho_percent, 2), base::signed_brief(phase_deg, 2)));
}

/// Frequencies at which a dipole is more than half a skin depth of the ground it lies on.
struct LongDipole {
    int count = 0;
    double length_m = 0, shortest_m = HUGE_VAL, at_hz = 0;
};

LongDipole long_dipole(double length_m, const model::ground::LayeredEarth& ground,
                       const std::vector<double>& frequencies_hz) {
    LongDipole out{.length_m = length_m};
    for (const double f : frequencies_hz) {
        const double rho =
            model::ground::apparent_resistivity_ohm_m(model::ground::plane_wave_impedance_ohm(ground, f), f);
        const double depth_m = model::skin_depth_m(rho, f);
        out.count += length_m > depth_m / 2;
        if (depth_m < out.shortest_m) out.shortest_m = depth_m, out.at_hz = f;
    }
    return out;
}

/// Of all stations the one whose dipoles are the longest against the skin depth.
void remark_dipoles(const plan::Plan& plan, const SurveySetup& setup, Remarks& remarks) {
    LongDipole worst;
    std::vector<std::pair<double, const model::ground::LayeredEarth*>> done;
    for (const plan::Station& station : plan.stations) {
        const double length_m = plan::receiver_of(plan, station).dipole_m;
        const model::ground::LayeredEarth& ground = setup.ground_of(station);
        const std::pair here{length_m, &ground};
        if (std::find(done.begin(), done.end(), here) != done.end()) continue;
        done.push_back(here);
        const LongDipole at = long_dipole(length_m, ground, setup.frequencies_hz);
        if (at.length_m / at.shortest_m > worst.length_m / worst.shortest_m) worst = at;
    }
    if (worst.count == 0) return;
    remarks.add(
        "receiver.dipole_m",
        fmt::format(
            "{:g} m are more than half a skin depth at {} {} (skin depth {:.3g} m at {}): E is the mean along "
            "the wire there, which planning counts",
            worst.length_m, worst.count, worst.count == 1 ? "frequency" : "frequencies", worst.shortest_m,
            base::frequency_text(worst.at_hz)));
}

void remark_cold(const plan::Plan& plan, const SurveySetup& setup, Remarks& remarks) {
    const model::transmitter::BatteryBlock& block = setup.transmitter.design.battery.block;
    const double coldest_c = coldest_battery_c(plan), known_c = model::transmitter::coldest_known_c(block);
    const std::string key = plan.battery.temperature_c ? "battery.temperature_c" : "day.temperature_c";
    if (coldest_c < known_c)
        remarks.add(
            key,
            fmt::format(
                "battery at {:.3g} C: capacity is tabulated down to {:.3g} C and continued below, to "
                "{:.0f} % of that at 25 C, give or take {:.0f} % of it",
                coldest_c, known_c,
                100 * model::transmitter::capacity_factor(block, coldest_c) / block.age_capacity_fraction,
                100 * model::transmitter::extrapolated_capacity_uncertainty_rel));
    if (plan.battery.chemistry == plan::Chemistry::lifepo4 &&
        coldest_c < model::transmitter::lifepo4_discharge_min_c)
        remarks.add(
            key,
            fmt::format("lithium iron phosphate at {:.3g} C: not to be discharged below {:g} C; warm it, "
                        "and never charge it below {:g} C",
                        coldest_c, model::transmitter::lifepo4_discharge_min_c,
                        model::transmitter::lifepo4_charge_min_c));
}

void remark_discharge(const SurveySetup& setup, Remarks& remarks) {
    // IEC 60204-1, 6.2.4 (tests/reference/facts).
    constexpr double allowed_s = 5;
    if (std::isfinite(setup.keep_out.capacitor_to_60_v_s) && setup.keep_out.capacitor_to_60_v_s > allowed_s)
        remarks.add(
            "driver.capacitors.bleed_resistor_ohm",
            fmt::format(
                "a capacitor takes {} s to 60 V: longer than the {:g} s of IEC 60204-1 after switching off. Less "
                "resistance, or a durable warning with the time on the unit",
                safety_figure_text(setup.keep_out.capacitor_to_60_v_s), allowed_s));
}

void remark_volts(const plan::Plan& plan, const SurveySetup& setup, Remarks& remarks) {
    // Limit of extra-low voltage, IEC 60364-4-41, from memory.
    constexpr double felt_v = 60;
    const double full_v = model::transmitter::battery_source(setup.transmitter.design.battery, 1, 25).ocv_v;
    if (full_v > felt_v)
        remarks.add(
            "battery.in_series",
            fmt::format(
                "a full set of {} cells in series stands at {:.3g} V: above {:g} V d.c. it is no longer extra-low "
                "voltage, touch no terminal",
                plan.battery.cells() * plan.battery.in_series, full_v, felt_v));
}

void remark_rises(const plan::Plan& plan, const SurveySetup& setup, Remarks& remarks) {
    const RisesOverLimit rises = rises_over_limit(plan, setup);
    if (rises.steps.empty()) return;
    RiseOverLimit worst = rises.steps.front();
    for (const RiseOverLimit& rise : rises.steps) {
        if (rise.peak_a > worst.peak_a)
            worst.step_number = rise.step_number, worst.frequency_hz = rise.frequency_hz;
        worst.peak_a = std::max(worst.peak_a, rise.peak_a);
        worst.capacitor_peak_v = std::max(worst.capacitor_peak_v, rise.capacitor_peak_v);
        worst.trips |= rise.trips;
        worst.over_rating |= rise.over_rating;
    }
    const std::size_t count = rises.steps.size();
    std::string text =
        fmt::format("at {} {} the drive, while it rises, passes what it comes to in the end: ", count,
                    count == 1 ? "step" : "steps");
    if (worst.trips)
        text += fmt::format("up to {} A peak (step {}, {}), the unit trips at {} A",
                            safety_figure_text(worst.peak_a), worst.step_number,
                            base::frequency_text(worst.frequency_hz),
                            base::significant(setup.unit.over_current_ma / 1000.0, 3));
    if (worst.over_rating)
        text += fmt::format("{}up to {} V peak on a capacitor, above its rating", worst.trips ? "; " : "",
                            safety_volts_text(worst.capacitor_peak_v));
    remarks.add(
        "sweep.ramp_cycles",
        text + (rises.mending_cycles
                    ? fmt::format(". With {} cycles at all steps none does", *rises.mending_cycles)
                    : ". No ramp mends that: tune nearer to the frequencies, or ask for less current"));
}

}  // namespace

double coldest_battery_c(const plan::Plan& plan) {
    if (plan.battery.temperature_c) return *plan.battery.temperature_c;
    double coldest_c = HUGE_VAL;
    constexpr double quarter_hour_s = 900;
    const auto quarters = static_cast<int>(std::ceil((plan.day.end_s - plan.day.start_s) / quarter_hour_s));
    for (int i = 0; i < quarters; ++i)
        coldest_c = std::min(coldest_c, plan.day.air_temperature_c(plan.day.start_s + i * quarter_hour_s));
    return std::min(coldest_c, plan.day.air_temperature_c(plan.day.end_s));
}

std::vector<plan::Remark> survey_remarks(const plan::Plan& plan, const SurveySetup& setup) {
    Remarks remarks(plan);
    remark_wire(plan, setup, remarks);
    remark_dipoles(plan, setup, remarks);
    remark_relief(plan, setup, remarks);
    remark_cold(plan, setup, remarks);
    remark_discharge(setup, remarks);
    remark_rises(plan, setup, remarks);
    remark_volts(plan, setup, remarks);
    return std::move(remarks).sorted();
}

}  // namespace ampturn::setup::remarks
