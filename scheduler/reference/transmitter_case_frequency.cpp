#include <cmath>
#include <string>

#include "model/base/check_range.hpp"
#include "model/receiver/clock_and_bins.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/reference/clocks.hpp"
#include "scheduler/reference/reference_case_runners.hpp"

namespace ampturn::reference {

namespace {

using nlohmann::json;

model::receiver::Ratio ratio_of(const json& number) {
    const auto ratio = number.is_number_integer()
                           ? std::optional(model::receiver::Ratio{number.get<std::int64_t>(), 1})
                           : model::receiver::ratio_of_double(number.get<double>());
    if (!ratio) throw base::InputError({{}, {}, "", number.dump(), "a number of up to 17 digits"});
    return *ratio;
}
std::int64_t whole_of(const json& number) {
    const model::receiver::Ratio r = ratio_of(number);
    if (r.denominator != 1) throw base::InputError({{}, {}, "", number.dump(), "a whole number"});
    return r.numerator;
}

CaseOutputs timer(const json& in, const json&) {
    json table = json::array();
    for (const json& target : in.at("targets_Hz")) {
        const TimerChoice c =
            nearest_timer(whole_of(in.at("clock_Hz")), whole_of(in.at("prescaler_max")),
                          whole_of(in.at("period_max")), whole_of(in.at("toggle")), ratio_of(target));
        table.push_back({{"target_Hz", target},
                         {"prescaler", c.prescaler},
                         {"period", c.period},
                         {"f_out_Hz", c.frequency_hz.value()},
                         {"f_out_exact", std::to_string(c.frequency_hz.numerator) + "/" +
                                             std::to_string(c.frequency_hz.denominator)},
                         {"error_ppm", c.error_ppm},
                         {"reachable_within_100ppm", std::abs(c.error_ppm) <= 100}});
    }
    return {json{{"table", table}}, {}};
}

CaseOutputs phase_accumulator(const json& in, const json&) {
    const int bits = whole_input(in, "bits");
    model::check_range(bits, "bits", 1, 62);
    const std::int64_t clock = whole_of(in.at("clock_Hz"));
    json table = json::array();
    for (const json& target : in.at("targets_Hz")) {
        const AccumulatorChoice c = nearest_accumulator(clock, bits, ratio_of(target));
        table.push_back({{"target_Hz", target},
                         {"word", c.word},
                         {"f_out_Hz", c.frequency_hz},
                         {"error_Hz", c.error_hz},
                         {"error_ppm", c.error_ppm}});
    }
    return {json{{"resolution_Hz", std::ldexp(static_cast<double>(clock), -bits)}, {"table", table}}, {}};
}

CaseOutputs cycles_in_dwell_case(const json& in, const json&) {
    json table = json::array();
    for (const json& f : in.at("frequencies_Hz")) {
        const DwellCycles c = cycles_in_dwell(ratio_of(in.at("dwell_s")), ratio_of(f));
        table.push_back({{"frequency_Hz", f},
                         {"whole_cycles", c.whole_cycles},
                         {"unused_s", c.unused_s},
                         {"integer_cycle_dwell_s", c.whole_dwell_s},
                         {"next_integer_cycle_dwell_s", c.next_whole_dwell_s}});
    }
    return {json{{"table", table}}, {}};
}

CaseOutputs fft_bin(const json& in, const json&) {
    const model::receiver::Ratio rate = ratio_of(in.at("sample_rate_Hz"));
    const std::int64_t length = whole_of(in.at("record_length"));
    json table = json::array();
    for (const json& f : in.at("frequencies_Hz")) {
        const model::receiver::BinPosition p = model::receiver::bin_place(rate, length, ratio_of(f));
        table.push_back({{"frequency_Hz", f},
                         {"bin", p.bin},
                         {"bin_offset", p.offset_bins},
                         {"exact", p.exact},
                         {"scalloping_rectangular_dB", rectangular_scalloping_db(p.offset_bins)},
                         {"below_nyquist", below_nyquist(rate, ratio_of(f))}});
    }
    return {json{{"bin_width_Hz", rate.value() / static_cast<double>(length)}, {"table", table}}, {}};
}

CaseOutputs mains_distance(const json& in, const json&) {
    json table = json::array();
    for (const json& f : in.at("frequencies_Hz")) {
        const model::receiver::MainsOffset a = model::receiver::mains_place({50, 1}, ratio_of(f));
        const model::receiver::MainsOffset b = model::receiver::mains_place({60, 1}, ratio_of(f));
        const OddMainsOffset odd_a = odd_mains_place({50, 1}, ratio_of(f));
        const OddMainsOffset odd_b = odd_mains_place({60, 1}, ratio_of(f));
        table.push_back({{"frequency_Hz", f},
                         {"nearest_n_50", a.harmonic},
                         {"offset_50_Hz", a.offset_hz},
                         {"nearest_odd_n_50", odd_a.harmonic},
                         {"odd_offset_50_Hz", odd_a.offset_hz},
                         {"nearest_n_60", b.harmonic},
                         {"offset_60_Hz", b.offset_hz},
                         {"nearest_odd_n_60", odd_b.harmonic},
                         {"odd_offset_60_Hz", odd_b.offset_hz}});
    }
    return {json{{"table", table}}, {}};
}

}  // namespace

void add_frequency_runners(CaseRunners& runners) {
    const std::vector<KeyTolerance> ppm{
        {.start = "", .end = "ppm", .tolerance = {.relative = 0, .absolute = 1e-6}}};
    runners["timer"] = {.compute = timer, .exceptions = ppm};
    runners["phase_accumulator"] = {.compute = phase_accumulator, .exceptions = ppm};
    runners["cycles_in_dwell"] = {.compute = cycles_in_dwell_case};
    runners["fft_bin"] = {.compute = fft_bin};
    runners["mains_distance"] = {.compute = mains_distance};
}

}  // namespace ampturn::reference
