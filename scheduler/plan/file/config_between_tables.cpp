#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "model/receiver/record_factors.hpp"
#include "scheduler/plan/file/config_expand.hpp"
#include "scheduler/plan/loop_outline.hpp"
#include "scheduler/plan/station_own.hpp"

namespace ampturn::plan::file {

namespace {

void check_driver(const Plan& plan, Refusals& refusals) {
    const Driver& driver = plan.driver;
    if (driver.supply == Supply::dc_dc && driver.bus_v == 0)
        refusals.add("driver.bus_v", "nothing", "a voltage with supply = \"dc_dc\"");
    if (driver.supply == Supply::battery_direct && driver.bus_v > 0)
        refusals.add("driver.bus_v", fmt::format("{}", driver.bus_v),
                     "nothing with supply = \"battery_direct\": the battery sets the bus");
    if (driver.supply == Supply::battery_direct && driver.dc_dc_limit_w)
        refusals.add("driver.dc_dc_limit_w", fmt::format("{}", *driver.dc_dc_limit_w),
                     "nothing with supply = \"battery_direct\"");
    if (driver.current_limit != CurrentLimit::duty && driver.current_limit_quantity == LimitQuantity::rms)
        refusals.add("driver.current_limit_quantity", "\"rms\"",
                     "\"peak\" with current_limit = \"latched\" or \"clamp\"");
    const CapacitorBank& bank = driver.capacitors;
    if (driver.current_limit != CurrentLimit::duty) {
        const char* word = driver.current_limit == CurrentLimit::latched ? "latched" : "clamp";
        if (!bank.capacitance_f.empty())
            refusals.add("driver.current_limit",
                         fmt::format("\"{}\" with {} capacitors in series", word, bank.capacitance_f.size()),
                         driver.current_limit == CurrentLimit::latched
                             ? "\"duty\": a capacitor drives the current on after the latch, past the limit"
                             : "\"duty\": a clamped current would charge a capacitor without end");
        if (driver.idle_loop == IdleLoop::closed)
            refusals.add("driver.idle_loop", fmt::format("\"closed\" with current_limit = \"{}\"", word),
                         "\"open\", or current_limit = \"duty\": coupled loops are solved for pulse width");
    }
    if (driver.idle_loop == IdleLoop::closed && !driver.both_loops)
        refusals.add("driver.idle_loop", "\"closed\" with both_loops = false",
                     "\"open\": with one bridge the loop that does not send is switched off it");
    if (bank.capacitance_f.empty() && !bank.rated_v_peak.empty())
        refusals.add("driver.capacitors.capacitance_f", "nothing", "a list when rated_v_peak is given");
    if (!bank.capacitance_f.empty() && bank.rated_v_peak.size() != 1 &&
        bank.rated_v_peak.size() != bank.capacitance_f.size())
        refusals.add("driver.capacitors.rated_v_peak", fmt::format("{} entries", bank.rated_v_peak.size()),
                     fmt::format("1, or one for each of the {} capacitors", bank.capacitance_f.size()));
}

void check_battery(const Plan& plan, Refusals& refusals) {
    const Battery& battery = plan.battery;
    const auto& charge = battery.ocv_state_of_charge;
    const auto& volts = battery.ocv_cell_v;
    if (charge.size() != volts.size()) {
        refusals.add("battery.ocv_cell_v", fmt::format("{} entries", volts.size()),
                     fmt::format("as many as ocv_state_of_charge, {}", charge.size()));
        return;
    }
    if (!charge.empty() && (charge.front() != 0 || charge.back() != 1))
        refusals.add("battery.ocv_state_of_charge", fmt::format("{} to {}", charge.front(), charge.back()),
                     "0 to 1");
    for (std::size_t i = 1; i < charge.size(); ++i)
        if (charge[i] <= charge[i - 1] || volts[i] < volts[i - 1])
            refusals.add(fmt::format("battery.ocv_state_of_charge[{}]", i + 1),
                         fmt::format("{} with {} V", charge[i], volts[i]),
                         "charge rising and volts not falling");
    // Rested and full at 25 C; common practice, no source.
    const double full_by_chemistry_v = battery.chemistry == Chemistry::lifepo4 ? 3.4 : 2.15;
    const double full_cell_v = volts.empty() ? full_by_chemistry_v : volts.back();
    const int cells = battery.cells() * battery.in_series;
    const double full_v = full_cell_v * cells;
    // What cells of the chemistry can be and what is not far too deep; common practice, no source.
    const bool lithium = battery.chemistry == Chemistry::lifepo4;
    const double lowest_v = lithium ? 2.0 : 1.6, highest_v = lithium ? 3.7 : 2.4;
    if (battery.cut_off_v < lowest_v * cells)
        refusals.add(
            "battery.cut_off_v",
            fmt::format("{} V, {:.3g} V a cell", battery.cut_off_v, battery.cut_off_v / cells),
            fmt::format("at least {:.4g} V: {} V in each of {} cells", lowest_v * cells, lowest_v, cells));
    for (std::size_t i = 0; i < volts.size(); ++i)
        if (volts[i] < lowest_v || volts[i] > highest_v)
            refusals.add(fmt::format("battery.ocv_cell_v[{}]", i + 1), fmt::format("{}", volts[i]),
                         fmt::format("{} to {} V in a cell of this chemistry", lowest_v, highest_v));
    if (battery.kinetic_k_per_h && battery.one_hour_fraction)
        refusals.add("battery.one_hour_fraction", "one_hour_fraction and kinetic_k_per_h",
                     "one of the two: the rate follows from what one hour gives");
    if (battery.cut_off_v >= full_v)
        refusals.add("battery.cut_off_v", fmt::format("{}", battery.cut_off_v),
                     fmt::format("less than a full set's open-circuit voltage, {:.4g} V", full_v));
}

using Vector = std::array<double, 3>;

Vector normal_of(const Plan& plan, model::loop::LoopSelection loop, int site_index) {
    constexpr double rad_per_deg = std::numbers::pi / 180;
    const double azimuth = plan.loop_azimuth_deg(loop, site_index) * rad_per_deg;
    const double tilt = plan.loop(loop).tilt_deg * rad_per_deg;
    return {std::cos(tilt) * std::cos(azimuth), std::cos(tilt) * std::sin(azimuth), std::sin(tilt)};
}

void check_loops(const Plan& plan, Refusals& refusals) {
    constexpr double least_angle_deg = 10;  // noise of the tensor is 8 times that at 90 deg there
    for (std::size_t i = 0; i < plan.sites.size(); ++i) {
        const Vector a = normal_of(plan, model::loop::LoopSelection::a, static_cast<int>(i));
        const Vector b = normal_of(plan, model::loop::LoopSelection::b, static_cast<int>(i));
        const double cosine = std::abs(a[0] * b[0] + a[1] * b[1] + a[2] * b[2]);
        const double angle_deg = std::acos(std::min(1.0, cosine)) * 180 / std::numbers::pi;
        if (angle_deg < least_angle_deg) {
            const std::string at_site = fmt::format("site[{}].loop_b_azimuth_deg", i + 1);
            refusals.add(plan.positions.given(at_site) ? at_site : "loop.b.azimuth_deg",
                         fmt::format("{:.3g} deg between the normals of A and B at \"{}\"", angle_deg,
                                     plan.sites[i].name),
                         fmt::format("at least {} deg: two like loops give no tensor", least_angle_deg));
        }
    }
}

bool has_tap(const Loop& loop, int turns_in_use) {
    return turns_in_use == loop.turns ||
           std::find(loop.taps.begin(), loop.taps.end(), turns_in_use) != loop.taps.end();
}

/// All turns that can be chosen, rising, each once.
std::vector<int> taps_of(const Loop& loop) {
    std::vector<int> taps = loop.taps;
    taps.push_back(loop.turns);
    std::sort(taps.begin(), taps.end());
    taps.erase(std::unique(taps.begin(), taps.end()), taps.end());
    return taps;
}

void check_step(const Plan& plan, const Step& step, Refusals& refusals) {
    const Driver& driver = plan.driver;
    const auto refuse = [&](const char* name, std::string found, std::string allowed) {
        refusals.add(plan.key_of(step, name), std::move(found), std::move(allowed));
    };
    const double highest_hz = static_cast<double>(driver.clock_hz) / 2;
    if (step.frequency_hz > highest_hz)
        refuse("frequency_hz", fmt::format("{}", step.frequency_hz),
               fmt::format("at most {} Hz, half of driver.clock_hz", highest_hz));
    if (step.frequency_hz >= plan.receiver.sample_rate_hz / 2)
        refuse("frequency_hz", fmt::format("{}", step.frequency_hz),
               fmt::format("less than {} Hz, half of receiver.sample_rate_hz",
                           plan.receiver.sample_rate_hz / 2));
    constexpr double cycles_max = 4'294'967'295.0;  // a 32-bit count in the unit's table
    if (step.max_dwell_s * step.frequency_hz > cycles_max)
        refuse("max_dwell_s", fmt::format("{} s at {} Hz", step.max_dwell_s, step.frequency_hz),
               fmt::format("at most {} cycles", cycles_max));
    if (step.loop == model::loop::LoopSelection::both && !driver.both_loops)
        refuse("loop", "\"quadrature\"", "a, b or each: driver.both_loops is false");
    if (step.loop == model::loop::LoopSelection::both && driver.current_limit != CurrentLimit::duty)
        refuse("loop", "\"quadrature\" with current_limit \"latched\" or \"clamp\"",
               "current_limit = \"duty\": coupled loops are solved for pulse width");
    const bool uses_a = model::loop::feeds(step.loop, model::loop::LoopSelection::a);
    const bool uses_b = model::loop::feeds(step.loop, model::loop::LoopSelection::b);
    if (step.turns_in_use && ((uses_a && !has_tap(plan.loop_a, *step.turns_in_use)) ||
                              (uses_b && !has_tap(plan.loop_b, *step.turns_in_use))))
        refuse("turns_in_use", fmt::format("{}", *step.turns_in_use),
               "all turns or a tap of every loop that sends the step");
    if (uses_a && uses_b && taps_of(plan.loop_a) != taps_of(plan.loop_b))
        refuse("loop",
               fmt::format("\"quadrature\" with {} turns in loop A and {} in loop B",
                           fmt::join(taps_of(plan.loop_a), ", "), fmt::join(taps_of(plan.loop_b), ", ")),
               "the same taps in both loops: one switch chooses for both");
    const int capacitor_count = static_cast<int>(driver.capacitors.capacitance_f.size());
    if (step.capacitor && *step.capacitor > capacitor_count)
        refuse("capacitor", fmt::format("{}", *step.capacitor),
               fmt::format("0 to {}, the count of driver.capacitors.capacitance_f", capacitor_count));
    // A sine of that rms has the largest fundamental.
    const double limit_a_peak = driver.current_limit_quantity == LimitQuantity::rms
                                    ? driver.current_limit_a * std::numbers::sqrt2
                                    : driver.current_limit_a * 4 / std::numbers::pi;
    if (step.current_a_peak > limit_a_peak)
        refuse("current_a_peak", fmt::format("{}", step.current_a_peak),
               fmt::format("at most {:.4g} A: no waveform within "
                           "driver.current_limit_a has a larger fundamental",
                           limit_a_peak));
}

void check_sweep(const Plan& plan, Refusals& refusals) {
    std::vector<int> done;  // both loops of one step would say the same twice
    for (const Step& step : plan.sweep.steps) {
        const std::size_t before = refusals.count();
        if (std::find(done.begin(), done.end(), step.entry) == done.end()) check_step(plan, step, refusals);
        if (refusals.count() != before) done.push_back(step.entry);
    }
}

void check_stations(const Plan& plan, Refusals& refusals) {
    constexpr double farthest_m = 20'000;
    constexpr double clearance_m = 1;
    const double reach_m = std::max(outline_of(plan.loop_a).reach_m(), outline_of(plan.loop_b).reach_m());
    const std::vector<double> sent_hz = plan.sweep.frequencies_hz();
    for (std::size_t i = 0; i < plan.stations.size(); ++i) {
        const Station& station = plan.stations[i];
        const std::string key = fmt::format("station[{}]", i + 1);
        if (station.offset_m < reach_m + clearance_m)
            refusals.add(key,
                         fmt::format("\"{}\" {:.4g} m from site \"{}\", on top of the loop", station.name,
                                     station.offset_m, station.site),
                         fmt::format("at least {:.4g} m: the loop reaches {:.4g} m from its centre",
                                     reach_m + clearance_m, reach_m));
        if (station.offset_m > farthest_m)
            refusals.add(
                key,
                fmt::format("\"{}\" {:.6g} m from site \"{}\"", station.name, station.offset_m, station.site),
                fmt::format("at most {} m", farthest_m));
        for (std::size_t k = 0; k < station.required_frequencies_hz.size(); ++k)
            if (std::find(sent_hz.begin(), sent_hz.end(), station.required_frequencies_hz[k]) ==
                sent_hz.end())
                refusals.add(fmt::format("{}.required_frequencies_hz[{}]", key, k + 1),
                             fmt::format("{}", station.required_frequencies_hz[k]),
                             "a frequency of the sweep, written the same");
    }
}

void check_legs(const Plan& plan, Refusals& refusals) {
    std::vector<std::string> names{"base"};
    for (const Site& site : plan.sites) names.push_back(site.name);
    for (const Station& station : plan.stations) names.push_back(station.name);
    const auto check = [&](const std::string& key, const std::string& name) {
        if (std::find(names.begin(), names.end(), name) != names.end()) return;
        const auto nearest = nearest_name(name, names);
        refusals.add(key, fmt::format("\"{}\"", name),
                     "a site, a station or \"base\"" +
                         (nearest ? fmt::format(", for example \"{}\"", *nearest) : std::string()));
    };
    for (std::size_t i = 0; i < plan.day.legs.size(); ++i) {
        check(fmt::format("day.leg[{}].from", i + 1), plan.day.legs[i].from);
        check(fmt::format("day.leg[{}].to", i + 1), plan.day.legs[i].to);
    }
}

void check_receiver(const Plan& plan, Refusals& refusals) {
    using namespace model::receiver;
    const auto length = static_cast<std::size_t>(plan.receiver.record_length);
    if (has_small_factors(length)) return;
    std::size_t near = length;
    while (!has_small_factors(near)) --near;
    refusals.add("receiver.record_length", fmt::format("{}", length),
                 fmt::format("a product of prime factors up to {}, which is transformed fast: {} is one",
                             record_factor_max, near));
}

void check_noise(const Plan& plan, Refusals& refusals) {
    const auto check = [&](const std::optional<NaturalSpectrum>& spectrum, const std::string& key) {
        if (!spectrum) return;
        const auto& covered_hz = spectrum->frequency_hz;
        for (const double sent_hz : plan.sweep.frequencies_hz())
            if (sent_hz < covered_hz.front() || sent_hz > covered_hz.back())
                refusals.add(
                    key, fmt::format("a spectrum from {} to {} Hz", covered_hz.front(), covered_hz.back()),
                    fmt::format("one that covers {} Hz, which is sent", sent_hz));
    };
    check(plan.noise.spectrum, "noise.spectrum_csv");
    for (std::size_t i = 0; i < plan.stations.size(); ++i)
        check(plan.stations[i].spectrum, fmt::format("station[{}].spectrum_csv", i + 1));
}

void check_emission(const Plan& plan, Refusals& refusals) {
    const double reach_m = std::max(outline_of(plan.loop_a).reach_m(), outline_of(plan.loop_b).reach_m());
    for (std::size_t i = 0; i < plan.emission->limits.size(); ++i)
        if (plan.emission->limits[i].distance_m <= reach_m)
            refusals.add(
                fmt::format("emission.limit[{}].distance_m", i + 1),
                fmt::format("{}", plan.emission->limits[i].distance_m),
                fmt::format(
                    "more than {:.4g} m: the loop reaches as far from its centre, and a dipole does not "
                    "stand for it nearer",
                    reach_m));
}

void check_question(const Plan& plan, Refusals& refusals) {
    const Question& question = *plan.question;
    const int interfaces = static_cast<int>(question_ground(plan).thickness_m.size());
    if (question.kind == QuestionKind::two_grounds && question.with_target.resistivity_ohm_m.empty())
        refusals.add("question.with_target", "nothing", "a ground with kind = \"two_grounds\"");
    if (question.kind == QuestionKind::depth) {
        if (question.interface < 1 || question.interface > interfaces)
            refusals.add("question.interface",
                         question.interface == 0 ? "nothing" : fmt::format("{}", question.interface),
                         fmt::format("1 to {}, an interface of {}", interfaces, question_ground_table(plan)));
        if (question.within_m == 0)
            refusals.add("question.within_m", "nothing", "a distance with kind = \"depth\"");
    }
    for (std::size_t i = 0; i < question.stations.size(); ++i)
        if (std::none_of(plan.stations.begin(), plan.stations.end(),
                         [&](const Station& station) { return station.name == question.stations[i]; }))
            refusals.add(fmt::format("question.stations[{}]", i + 1),
                         fmt::format("\"{}\"", question.stations[i]), "the name of a station");
    const Station* first = nullptr;
    for (const Station& station : plan.stations) {
        if (!asked_of(question, station)) continue;
        if (first == nullptr) first = &station;
        if (ground_of(plan, station) == ground_of(plan, *first)) continue;
        refusals.add("question.stations",
                     fmt::format("\"{}\" on {} and \"{}\" on {}", first->name, ground_table_of(*first),
                                 station.name, ground_table_of(station)),
                     "stations on one ground, which the question is about");
        break;
    }
}

}  // namespace

void check_between_tables(const Plan& plan, Refusals& refusals) {
    check_driver(plan, refusals);
    check_battery(plan, refusals);
    check_loops(plan, refusals);
    check_sweep(plan, refusals);
    check_stations(plan, refusals);
    check_legs(plan, refusals);
    check_receiver(plan, refusals);
    check_noise(plan, refusals);
    if (plan.emission) check_emission(plan, refusals);
    if (plan.question) check_question(plan, refusals);
}

}  // namespace ampturn::plan::file
