#include "scheduler/day/monte_carlo.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <mutex>
#include <numeric>
#include <optional>
#include <utility>

#include "scheduler/base/parallel_for.hpp"
#include "scheduler/day/assess_day.hpp"
#include "scheduler/day/day_run.hpp"
#include "scheduler/day/sweep_outcome.hpp"
#include "scheduler/reading/drawn_grounds.hpp"
#include "scheduler/run/counter_random.hpp"

namespace ampturn::day {
namespace {

/// Uncertain inputs that stand for themselves; the layers' resistivities follow them.
enum Quantity : std::size_t {
    capacity,
    resistance,
    temperature,
    natural,
    mains,
    transmitter_times,
    receiver_times,
    legs,
    moment,
    azimuth_a,
    azimuth_b,
    tilt_a,
    tilt_b,
    area_a,
    area_b,
    capacitors,
    quantity_count
};
constexpr std::array<const char*, quantity_count> quantity_names{"battery capacity",
                                                                 "battery resistance",
                                                                 "air temperature",
                                                                 "natural field",
                                                                 "mains",
                                                                 "transmitter crew's times",
                                                                 "receiver crew's times",
                                                                 "travel times",
                                                                 "loop moment",
                                                                 "azimuth of loop A",
                                                                 "azimuth of loop B",
                                                                 "lean of loop A",
                                                                 "lean of loop B",
                                                                 "area of loop A",
                                                                 "area of loop B",
                                                                 "capacitors"};

/// A run's fields need not be better than this: its ground is uncertain by tens of per cent.
constexpr double drawn_grounds_rel = 3e-4;

/// The weather and how long things take change from day to day of one survey, all else is as it is.
bool changes_daily(std::size_t quantity) {
    return quantity == temperature || quantity == natural || quantity == mains ||
           quantity == transmitter_times || quantity == receiver_times || quantity == legs;
}

std::vector<double> inputs_of(const plan::Plan& plan, const DrawKey& key) {
    std::vector<double> out;
    const auto add = [&](std::uint64_t stream) {
        out.push_back(run::CounterRandom(key.seed, stream).normal(static_cast<std::uint64_t>(key.run)));
    };
    for (std::size_t quantity = 0; quantity < quantity_count; ++quantity) {
        const std::uint64_t stream = run::stream_of(quantity_names[quantity]);
        add(key.day > 0 && changes_daily(quantity) ? run::combine(stream, static_cast<std::uint64_t>(key.day))
                                                   : stream);
    }
    const std::size_t layers = reading::most_layers(plan);
    for (std::size_t layer = 0; layer < layers; ++layer)
        add(run::combine(run::stream_of("resistivity of layer"), layer));
    return out;
}

/// A factor that stays positive: log-normal with this relative standard deviation.
double log_normal(double relative_sd, double z) {
    return std::exp(std::sqrt(std::log1p(relative_sd * relative_sd)) * z);
}

std::vector<double> layer_decades(const plan::Uncertainty& u, const std::vector<double>& inputs) {
    std::vector<double> decades;
    for (std::size_t i = quantity_count; i < inputs.size(); ++i)
        decades.push_back(u.resistivity_decades * inputs[i]);
    return decades;
}

plan::Plan drawn(plan::Plan plan, const std::vector<double>& z) {
    const plan::Uncertainty& u = plan.uncertainty;
    plan.battery.capacity_ah *= log_normal(u.capacity_fraction, z[capacity]);
    plan.battery.cell_resistance_ohm =
        plan.battery.cell_resistance_ohm.value_or(0) * log_normal(u.cell_resistance_fraction, z[resistance]);
    for (double& c : plan.day.temperature_c) c += u.temperature_c * z[temperature];
    plan.noise.natural_factor *= std::pow(10, u.natural_noise_db * z[natural] / 20);
    const double mains_factor = std::pow(10, u.mains_db * z[mains] / 20);
    plan.noise.mains_b_nt *= mains_factor;
    const double receiver_factor = log_normal(u.times_fraction, z[receiver_times]);
    for (plan::Station& station : plan.stations) {
        if (station.mains_b_nt) *station.mains_b_nt *= mains_factor;
        station.power_lines_b_nt *= mains_factor;
        if (station.set_up_min) *station.set_up_min *= receiver_factor;
    }
    for (plan::ReceiverCrew& crew : plan.receiver_crews)
        for (std::optional<double>* minutes : {&crew.set_up_min, &crew.pack_up_min})
            if (*minutes) **minutes *= receiver_factor;
    const double transmitter_factor = log_normal(u.times_fraction, z[transmitter_times]);
    plan.day.transmitter_set_up_min *= transmitter_factor;
    plan.day.transmitter_pack_up_min *= transmitter_factor;
    plan.day.receiver_set_up_min *= receiver_factor;
    plan.day.receiver_pack_up_min *= receiver_factor;
    const double legs_factor = log_normal(u.times_fraction, z[legs]);
    for (plan::Leg& leg : plan.day.legs) leg.minutes *= legs_factor;
    plan.day.walking_speed_km_h /= legs_factor;
    // As raised; a site of its own azimuths was raised with the same hands.
    plan.loop_a.azimuth_deg += u.loop_azimuth_deg * z[azimuth_a];
    plan.loop_b.azimuth_deg += u.loop_azimuth_deg * z[azimuth_b];
    for (plan::Site& site : plan.sites) {
        if (site.loop_a_azimuth_deg) *site.loop_a_azimuth_deg += u.loop_azimuth_deg * z[azimuth_a];
        if (site.loop_b_azimuth_deg) *site.loop_b_azimuth_deg += u.loop_azimuth_deg * z[azimuth_b];
    }
    plan.loop_a.tilt_deg = std::clamp(plan.loop_a.tilt_deg + u.loop_tilt_deg * z[tilt_a], -90.0, 90.0);
    plan.loop_b.tilt_deg = std::clamp(plan.loop_b.tilt_deg + u.loop_tilt_deg * z[tilt_b], -90.0, 90.0);
    reading::set_off(plan, layer_decades(u, z));
    return plan;
}

/// What does not change from run to run.
struct RunsShare {
    reading::DrawnGrounds grounds;
    run::SweepPattern pattern;  // of the plan's own day; without pieces where no sweep was sent whole
};
RunsShare share_of(const plan::Plan& nominal, const setup::SurveySetup& setup,
                   const MonteCarloOptions& options) {
    RunsShare share{
        .grounds = reading::DrawnGrounds::make(nominal, setup, drawn_grounds_rel, options.threads),
        .pattern = {}};
    run_day(nominal, setup,
            {.seed = options.seed,
             .sets_available = nominal.battery.sets_carried,
             .trace = false,
             .keep_pattern = &share.pattern});
    return share;
}

DayDraw one_run(const plan::Plan& nominal, const setup::SurveySetup& planned, const RunsShare& share,
                std::uint64_t seed, int run_index) {
    DrawnDay that_day = drawn_day(nominal, planned, {.seed = seed, .run = run_index});
    const plan::Plan& plan = that_day.plan;
    const setup::SurveySetup& setup = that_day.setup;
    DayDraw out;
    out.inputs = std::move(that_day.inputs);
    DayRunOptions options{.seed = that_day.run_seed,
                          .sets_available = plan.battery.sets_carried,
                          .trace = false,
                          .pattern = share.pattern.pieces().empty() ? nullptr : &share.pattern};
    BatteryTraceRecorder battery(plan.day.start_s);
    if (run_index < battery_runs_most)
        options.on_battery = [&](const BatteryInterval& interval) { battery.add(interval); };
    const DayRun day = run_day(plan, setup, options);
    out.battery = battery.take();
    const plan::Uncertainty& u = plan.uncertainty;
    const std::vector<reading::FrequencyResponse> responses =
        share.grounds.responses(plan, setup, layer_decades(u, out.inputs));
    const double both = log_normal(u.moment_fraction, out.inputs[moment]);
    const MomentFactors factors{.a = both * log_normal(u.loop_area_fraction, out.inputs[area_a]),
                                .b = both * log_normal(u.loop_area_fraction, out.inputs[area_b])};
    for (const reading::Reading& reading :
         assess_day(plan, day, setup.table.rows, responses, factors, reading::Reasons::left_out)) {
        const bool usable = reading.verdict == reading::Verdict::usable;
        out.usable.push_back(usable);
        out.passed_count += usable && reading.required;
    }
    out.completed = day.completed;
    out.battery_short = short_of_batteries(day.sweeps);
    out.lowest_v = HUGE_VAL;
    for (const BatteryUse& use : day.batteries) {
        out.energy_wh += use.delivered_wh;
        out.lowest_v = std::min(out.lowest_v, use.lowest_v);
    }
    out.end_s = day.end_s;
    out.batteries_used = static_cast<double>(day.batteries.size());
    return out;
}

/// Ranks, ties sharing their mean rank.
std::vector<double> ranks(const std::vector<double>& values) {
    std::vector<std::size_t> order(values.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
    std::vector<double> out(values.size());
    for (std::size_t i = 0; i < order.size();) {
        std::size_t j = i;
        while (j < order.size() && values[order[j]] == values[order[i]]) ++j;
        for (std::size_t k = i; k < j; ++k) out[order[k]] = static_cast<double>(i + j - 1) / 2;
        i = j;
    }
    return out;
}

/// Spearman: Pearson's correlation of the ranks; 0 when one of the two never changes.
double rank_correlation(const std::vector<double>& x, const std::vector<double>& y) {
    const std::vector<double> a = ranks(x), b = ranks(y);
    const double mean = static_cast<double>(a.size() - 1) / 2;
    double ab = 0, aa = 0, bb = 0;
    for (std::size_t i = 0; i < a.size(); ++i) {
        ab += (a[i] - mean) * (b[i] - mean);
        aa += (a[i] - mean) * (a[i] - mean);
        bb += (b[i] - mean) * (b[i] - mean);
    }
    return aa > 0 && bb > 0 ? ab / std::sqrt(aa * bb) : 0;
}

std::vector<double> column(const std::vector<DayDraw>& runs, double DayDraw::*field) {
    std::vector<double> out;
    for (const DayDraw& d : runs) out.push_back(d.*field);
    return out;
}

}  // namespace

MonteCarloSummary run_monte_carlo(const plan::Plan& given, const MonteCarloOptions& options) {
    return run_monte_carlo(given, setup::survey_setup_of(given), options);
}

plan::Plan plan_to_draw_from(plan::Plan nominal, const setup::SurveySetup& setup) {
    nominal.battery.cell_resistance_ohm = setup.transmitter.design.battery.block.r25_ohm_per_cell;
    if (nominal.day.temperature_c.empty()) {
        const double all_day_c = nominal.day.air_temperature_c(12 * 3600);
        nominal.day.temperature_hour = {12};
        nominal.day.temperature_c = {all_day_c};
    }
    return nominal;
}

DrawnDay drawn_day(const plan::Plan& nominal, const setup::SurveySetup& planned, const DrawKey& key) {
    std::vector<double> inputs = inputs_of(nominal, key);
    plan::Plan plan = drawn(nominal, inputs);
    setup::SurveySetup setup = setup::survey_setup_of(plan, planned);
    setup.transmitter.design.loop_a.tilt_deg = plan.loop_a.tilt_deg;
    setup.transmitter.design.loop_b->tilt_deg = plan.loop_b.tilt_deg;
    // Within plus or minus the tolerance, any value as likely as any other.
    const double capacitance_factor =
        1 + plan.driver.capacitors.tolerance_fraction * std::erf(inputs[capacitors] / std::sqrt(2.0));
    for (model::transmitter::SeriesCapacitor& capacitor : setup.transmitter.design.capacitors)
        capacitor.capacitance_f *= capacitance_factor;
    const std::uint64_t run_seed = run::combine(key.seed, static_cast<std::uint64_t>(key.run));
    return {.inputs = std::move(inputs),
            .plan = std::move(plan),
            .setup = std::move(setup),
            .run_seed = key.day > 0 ? run::combine(run_seed, static_cast<std::uint64_t>(key.day)) : run_seed};
}

void draw_days(const plan::Plan& given, const setup::SurveySetup& setup, const MonteCarloOptions& options,
               const std::function<void(int run, DayDraw&&)>& take) {
    const plan::Plan nominal = plan_to_draw_from(given, setup);
    const RunsShare share = share_of(nominal, setup, options);

    std::mutex progress_mutex;
    int done = 0;
    const int together = 64 * static_cast<int>(options.threads);  // of memory only
    for (int begin = 0; begin < options.runs; begin += together) {
        std::vector<DayDraw> draws(static_cast<std::size_t>(std::min(together, options.runs - begin)));
        base::parallel_for(draws.size(), options.threads, [&](std::size_t i) {
            draws[i] =
                one_run(nominal, setup, share, options.seed, options.first + begin + static_cast<int>(i));
            if (!options.progress) return;
            const std::scoped_lock lock(progress_mutex);
            options.progress(++done);
        });
        for (std::size_t i = 0; i < draws.size(); ++i)
            take(options.first + begin + static_cast<int>(i), std::move(draws[i]));
    }
}

MonteCarloSummary summary_of(const plan::Plan& plan, const setup::SurveySetup& setup,
                             std::vector<DayDraw> runs, std::uint64_t seed) {
    const std::size_t frequency_count = setup.frequencies_hz.size();
    MonteCarloSummary out{.runs = static_cast<int>(runs.size()), .seed = seed};
    const auto count = static_cast<double>(runs.size());
    std::vector<double> usable(plan.stations.size() * frequency_count, 0);
    for (const DayDraw& d : runs) {
        out.completes_probability += d.completed / count;
        out.carried_batteries_suffice_probability += !d.battery_short / count;
        for (std::size_t i = 0; i < usable.size(); ++i) usable[i] += d.usable[i];
    }
    for (std::size_t i = 0; i < usable.size(); ++i)
        out.readings.push_back({.station_index = static_cast<int>(i / frequency_count),
                                .frequency_index = static_cast<int>(i % frequency_count),
                                .usable_probability = usable[i] / count});
    const std::vector<double> passed = column(runs, &DayDraw::passed_count);
    const std::vector<double> lowest = column(runs, &DayDraw::lowest_v);
    const std::vector<double> end = column(runs, &DayDraw::end_s);
    out.energy_wh = percentiles(column(runs, &DayDraw::energy_wh));
    out.lowest_battery_v = percentiles(lowest);
    out.end_s = percentiles(end);
    out.passed_count = percentiles(passed);
    out.batteries_used = percentiles(column(runs, &DayDraw::batteries_used));
    for (std::size_t q = 0; q < runs.front().inputs.size(); ++q) {
        std::vector<double> input;
        for (const DayDraw& d : runs) input.push_back(d.inputs[q]);
        out.influences.push_back(
            {.input = q < quantity_count ? quantity_names[q]
                                         : "resistivity of layer " + std::to_string(q - quantity_count + 1),
             .on_passed_count = rank_correlation(input, passed),
             .on_lowest_voltage = rank_correlation(input, lowest),
             .on_end_of_day = rank_correlation(input, end)});
    }
    std::vector<BatteryTrace> traces;
    for (DayDraw& d : runs) traces.push_back(std::move(d.battery));
    out.battery = battery_percentiles(plan.day.start_s, traces);
    std::stable_sort(out.influences.begin(), out.influences.end(),
                     [](const Influence& a, const Influence& b) {
                         return std::abs(a.on_passed_count) > std::abs(b.on_passed_count);
                     });
    return out;
}

MonteCarloSummary run_monte_carlo(const plan::Plan& plan, const setup::SurveySetup& setup,
                                  const MonteCarloOptions& options) {
    std::vector<DayDraw> draws;
    draw_days(plan, setup, options, [&](int, DayDraw&& draw) { draws.push_back(std::move(draw)); });
    return summary_of(plan, setup, std::move(draws), options.seed);
}

}  // namespace ampturn::day
