#include "scheduler/plan/plan_remarks.hpp"
#include "scheduler/base/number_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>

#include "scheduler/plan/placement_rules.hpp"
#include "scheduler/plan/plausibility_remarks.hpp"
#include "scheduler/plan/power_line.hpp"
#include "scheduler/plan/station_geometry.hpp"
#include "scheduler/plan/ways.hpp"

namespace ampturn::plan {

namespace {

void remark_line(const Step& step, const model::receiver::PlacementRules& rules, Remarks& remarks) {
    const auto wanted = model::receiver::ratio_of_double(step.frequency_hz);
    if (!wanted) return;
    const model::receiver::DivisorChoice drive = model::receiver::nearest_divisor(rules.clock_hz, *wanted);
    const double sent_hz = drive.frequency_hz.value();
    const std::string line = sent_hz == step.frequency_hz
                                 ? fmt::format("{} Hz", step.frequency_hz)
                                 : fmt::format("{} Hz, sent as {:.8g} Hz,", step.frequency_hz, sent_hz);
    for (const model::receiver::PlacementRemark& r :
         model::receiver::placement_remarks(rules, drive.divisor, {})) {
        if (r.fault == model::receiver::PlacementFault::mains)
            remarks.add(step.key(), fmt::format("{} lies {} Hz from {} Hz, harmonic {} of the mains, "
                                                "inside its guard of {} Hz",
                                                line, base::brief(std::abs(r.distance_hz), 3),
                                                r.order * r.other_hz, r.order, base::brief(r.guard_hz, 3)));
        if (r.fault == model::receiver::PlacementFault::interferer)
            remarks.add(step.key(),
                        fmt::format("{} lies {} Hz from \"{}\" at {} Hz, inside its guard of {} Hz", line,
                                    base::brief(std::abs(r.distance_hz), 3), r.other, r.other_hz,
                                    base::brief(r.guard_hz, 3)));
        if (r.fault == model::receiver::PlacementFault::service)
            remarks.add(
                step.key(),
                fmt::format(
                    "{} lies in the band of \"{}\", {} to {}: `ampturn frequencies` looks for a clear one",
                    line, r.other, base::frequency_text(r.other_hz - r.guard_hz),
                    base::frequency_text(r.other_hz + r.guard_hz)));
    }
}

void remark_lines(const Plan& plan, Remarks& remarks) {
    const model::receiver::PlacementRules rules = placement_rules_of(plan);
    std::vector<int> done;
    for (const Step& step : plan.sweep.steps) {
        if (std::find(done.begin(), done.end(), step.entry) != done.end()) continue;
        done.push_back(step.entry);
        remark_line(step, rules, remarks);
    }
}

void remark_spectrum_gaps(const Plan& plan, const std::optional<NaturalSpectrum>& spectrum,
                          const std::string& csv, const std::string& key, Remarks& remarks) {
    constexpr double wide = 3;  // common practice, no source
    if (!spectrum) return;
    const std::vector<double>& points_hz = spectrum->frequency_hz;
    for (const double f : plan.sweep.frequencies_hz()) {
        const auto above = std::lower_bound(points_hz.begin(), points_hz.end(), f);
        if (above == points_hz.begin() || above == points_hz.end() || *above == f) continue;
        const double below_hz = *std::prev(above);
        if (*above > wide * below_hz)
            remarks.add(key, fmt::format("no point of {} between {} and {} Hz: "
                                         "the noise at {} Hz is interpolated over a factor of {}",
                                         csv, below_hz, *above, f, base::brief(*above / below_hz, 2)));
    }
}

void remark_spectra(const Plan& plan, Remarks& remarks) {
    remark_spectrum_gaps(plan, plan.noise.spectrum, plan.noise.spectrum_csv, "noise.spectrum_csv", remarks);
    for (std::size_t i = 0; i < plan.stations.size(); ++i)
        remark_spectrum_gaps(plan, plan.stations[i].spectrum, plan.stations[i].spectrum_csv,
                             fmt::format("station[{}].spectrum_csv", i + 1), remarks);
}

/// Grounds, sensors and crews that no station has, and what a power line comes to at the station nearest to it.
void remark_surroundings(const Plan& plan, Remarks& remarks) {
    const auto unused = [&](std::optional<int> Station::*index, std::size_t i) {
        return std::none_of(plan.stations.begin(), plan.stations.end(), [&](const Station& station) {
            return station.*index == std::optional(static_cast<int>(i));
        });
    };
    for (std::size_t i = 0; i < plan.grounds.size(); ++i)
        if (unused(&Station::ground_index, i))
            remarks.add(fmt::format("ground[{}].name", i + 1),
                        fmt::format("no station stands on \"{}\"", plan.grounds[i].name));
    for (std::size_t i = 0; i < plan.sensor_sets.size(); ++i)
        if (unused(&Station::sensors_index, i))
            remarks.add(fmt::format("sensors[{}].name", i + 1),
                        fmt::format("no station has \"{}\"", plan.sensor_sets[i].name));
    for (std::size_t i = 0; i < plan.receiver_crews.size(); ++i)
        if (std::none_of(plan.stations.begin(), plan.stations.end(),
                         [&](const Station& s) { return s.crew_index == static_cast<int>(i); }))
            remarks.add(
                fmt::format("receiver_crew[{}].name", i + 1),
                fmt::format("\"{}\" sets up no station and stays at the base", plan.receiver_crews[i].name));
    for (std::size_t i = 0; i < plan.power_lines.size(); ++i) {
        const PowerLine& line = plan.power_lines[i];
        const auto distance_m = [&](const Station& s) { return distance_to_line_m(s.place, line); };
        const Station& nearest = *std::min_element(
            plan.stations.begin(), plan.stations.end(),
            [&](const Station& a, const Station& b) { return distance_m(a) < distance_m(b); });
        remarks.add(fmt::format("power_line[{}].name", i + 1),
                    fmt::format("\"{}\" is nearest to \"{}\", {} m: {} nT there{}", line.name, nearest.name,
                                base::brief(distance_m(nearest), 3),
                                base::brief(power_line_b_nt(line, distance_m(nearest)), 3),
                                nearest.mains_b_nt ? ", where its own mains_b_nt holds instead" : ""));
    }
}

void remark_loops(const Plan& plan, Remarks& remarks) {
    constexpr double tolerance_deg = 10;  // noise of the tensor grows by 10 % there
    for (std::size_t i = 0; i < plan.sites.size(); ++i) {
        const int index = static_cast<int>(i);
        const double between_deg =
            bearing_0_to_360(plan.loop_azimuth_deg(model::loop::LoopSelection::b, index) -
                             plan.loop_azimuth_deg(model::loop::LoopSelection::a, index));
        const double off_deg = std::abs(std::fmod(between_deg, 180.0) - 90.0);
        const bool upright = plan.loop_a.tilt_deg == 0 && plan.loop_b.tilt_deg == 0;
        if (upright && off_deg > tolerance_deg)
            remarks.add(fmt::format("site[{}]", i + 1),
                        fmt::format("loops A and B are {:.3g} deg off right angles at "
                                    "\"{}\": the tensor's error bars grow",
                                    off_deg, plan.sites[i].name));
    }
}

/// Frequencies at which the sweep sends one polarisation only, from which no impedance tensor can be had.
void remark_polarisations(const Plan& plan, Remarks& remarks) {
    for (const double f : plan.sweep.frequencies_hz()) {
        bool a = false, b = false;
        const Step* first = nullptr;
        bool together = false;
        for (const Step& step : plan.sweep.steps) {
            if (step.frequency_hz != f) continue;
            if (first == nullptr) first = &step;
            a = a || step.loop == model::loop::LoopSelection::a;
            b = b || step.loop == model::loop::LoopSelection::b;
            together = together || step.loop == model::loop::LoopSelection::both;
        }
        if (first == nullptr || (a && b)) continue;
        remarks.add(
            first->key(),
            fmt::format("{} Hz is sent with {}: one polarisation gives no impedance tensor, loops A and B "
                        "in turn (loop = \"each\") do",
                        f,
                        together ? "both loops at once"
                        : a      ? "loop A alone"
                                 : "loop B alone"));
    }
}

void remark_safety(const Plan& plan, Remarks& remarks) {
    const CapacitorBank& bank = plan.driver.capacitors;
    if (!bank.capacitance_f.empty() && !bank.bleed_resistor_ohm)
        remarks.add("driver.capacitors", "no bleed resistor: a capacitor may stay charged after power-off");
    const auto& degrees = plan.day.temperature_c;
    const bool frost = std::any_of(degrees.begin(), degrees.end(), [](double c) { return c < 0; });
    if (plan.battery.chemistry == Chemistry::lifepo4 && frost && !plan.battery.temperature_c)
        remarks.add("battery.chemistry",
                    "lithium iron phosphate in frost: never charge it below 0 C; warm it first");
}

void remark_day(const Plan& plan, Remarks& remarks) {
    const Day& day = plan.day;
    if (day.end_s > 86'400)
        remarks.add("day.end",
                    fmt::format("not later than day.start: the day ends on the next day, after {:.3g} h",
                                (day.end_s - day.start_s) / 3600));
    if (!has_leg_to_base(day))
        remarks.add("day",
                    "no leg leads to \"base\": its place is not known, and the crews' ways from and to it "
                    "are not counted");
}

/// The crews' ways from place to place in the order of the plan for which it gives no leg.
void remark_ways(const Plan& plan, Remarks& remarks) {
    int ways = 0;
    double straight_m = 0, level_m = 0;
    std::string first;
    const auto add_way = [&](const std::string& from, const Place& at, const std::string& to,
                             const Place& next) {
        const bool has_leg = std::any_of(plan.day.legs.begin(), plan.day.legs.end(), [&](const Leg& leg) {
            return (leg.from == from && leg.to == to) || (leg.from == to && leg.to == from);
        });
        const double way_m = std::hypot(next.x_m - at.x_m, next.y_m - at.y_m);
        if (has_leg || way_m == 0) return;
        if (ways++ == 0) first = fmt::format("\"{}\" to \"{}\"", from, to);
        straight_m += way_m;
        level_m += level_way_m(plan.walk.get(), spot_of(at), spot_of(next));
    };
    for (std::size_t i = 1; i < plan.stations.size(); ++i) {
        const Station& station = plan.stations[i];
        const auto before = std::find_if(plan.stations.rend() - static_cast<std::ptrdiff_t>(i),
                                         plan.stations.rend(), [&](const Station& s) {
                                             return s.crew_index == station.crew_index;
                                         });  // where its crew comes from
        if (before != plan.stations.rend()) add_way(before->name, before->place, station.name, station.place);
        const Station& last = plan.stations[i - 1];
        if (station.site == last.site) continue;
        add_way(last.site, plan.sites[static_cast<std::size_t>(last.site_index)].place, station.site,
                plan.sites[static_cast<std::size_t>(station.site_index)].place);
    }
    if (ways == 0) return;
    const double speed_km_h = plan.day.walking_speed_km_h;
    remarks.add(
        "day.walking_speed_km_h",
        fmt::format("no leg from {}{}: taken as {} at {:.3g} km/h{}: {:.0f} m in {:.0f} min", first,
                    ways == 1 ? "" : fmt::format(" and for {} more ways in the order of the plan", ways - 1),
                    ways == 1 ? "a straight line" : "straight lines", speed_km_h,
                    plan.walk ? " on the level, over slopes and by tracks" : "", straight_m,
                    std::ceil(level_m / speed_km_h * 0.06)));
}

}  // namespace

bool has_leg_to_base(const Day& day) {
    return std::any_of(day.legs.begin(), day.legs.end(),
                       [](const Leg& leg) { return (leg.from == "base") != (leg.to == "base"); });
}

std::vector<Remark> plan_remarks(const Plan& plan) {
    Remarks remarks(plan);
    remark_lines(plan, remarks);
    remark_spectra(plan, remarks);
    remark_surroundings(plan, remarks);
    remark_loops(plan, remarks);
    remark_polarisations(plan, remarks);
    remark_cell_volts(plan, remarks);
    remark_bus_volts(plan, remarks);
    remark_repeats(plan, remarks);
    remark_safety(plan, remarks);
    remark_day(plan, remarks);
    remark_ways(plan, remarks);
    return std::move(remarks).sorted();
}

}  // namespace ampturn::plan
