#include "model/receiver/line_placement.hpp"

#include <algorithm>
#include <cmath>

#include "model/receiver/noise.hpp"

namespace ampturn::model::receiver {

namespace {

double frequency_of(const PlacementRules& rules, std::int64_t divisor) {
    return static_cast<double>(rules.clock_hz) / static_cast<double>(divisor);
}

bool on_bin(const PlacementRules& rules, double frequency_hz) {
    const double bins = frequency_hz / rules.bin_width_hz();
    return std::abs(bins - std::round(bins)) <= rules.bin_tolerance;
}

std::vector<double> without(const std::vector<double>& all, std::size_t index) {
    std::vector<double> out = all;
    out.erase(out.begin() + static_cast<std::ptrdiff_t>(index));
    return out;
}

}  // namespace

const char* name_of(PlacementFault fault) {
    switch (fault) {
        case PlacementFault::off_bin:
            return "off bin";
        case PlacementFault::mains:
            return "mains";
        case PlacementFault::interferer:
            return "interferer";
        case PlacementFault::harmonic_of_other:
            return "harmonic";
        case PlacementFault::beyond_receiver:
            return "beyond receiver";
        case PlacementFault::service:
            return "service";
    }
    return "?";
}

bool PlacementVerdict::disturbed() const {
    return std::any_of(remarks.begin(), remarks.end(), [](const PlacementRemark& r) {
        return r.fault == PlacementFault::mains || r.fault == PlacementFault::interferer;
    });
}

double mains_guard_hz(int order, double mains_hz, bool weak_grid, double lobe_hz) {
    const double whole_hz = mains_wander_hz(order, weak_grid) + lobe_hz;
    return order > orders_with_whole_guards ? std::min(whole_hz, guard_of_gap * mains_hz) : whole_hz;
}

int mains_clash_order(const PlacementRules& rules, double frequency_hz) {
    if (!(rules.mains_hz > 0)) return 0;
    const int order = std::max(1, static_cast<int>(std::lround(frequency_hz / rules.mains_hz)));
    if (order > rules.mains_orders) return 0;
    const double distance_hz = std::abs(frequency_hz - order * rules.mains_hz);
    return distance_hz < mains_guard_hz(order, rules.mains_hz, rules.weak_grid, rules.lobe_hz()) ? order : 0;
}

std::vector<PlacementRemark> placement_remarks(const PlacementRules& rules, std::int64_t divisor,
                                               const std::vector<double>& others) {
    std::vector<PlacementRemark> out;
    const double f = frequency_of(rules, divisor);
    const double lobe = rules.lobe_hz();
    const double highest = rules.nyquist_fraction * rules.sample_rate_hz.value() / 2;
    if (f > highest) out.push_back({PlacementFault::beyond_receiver, 0, f - highest, 0, highest, ""});
    if (const int order = mains_clash_order(rules, f); order > 0)
        out.push_back({PlacementFault::mains, order, f - order * rules.mains_hz,
                       mains_guard_hz(order, rules.mains_hz, rules.weak_grid, lobe), rules.mains_hz, ""});
    for (const InterfererBand& i : rules.interferers) {
        const double guard = i.half_width_hz + lobe;
        if (std::abs(f - i.frequency_hz) < guard)
            out.push_back({PlacementFault::interferer, 1, f - i.frequency_hz, guard, i.frequency_hz, i.name});
    }
    for (const ServiceBand& s : rules.services) {
        const double sent_hz = s.order * f;
        if (sent_hz < s.low_hz || sent_hz > s.high_hz) continue;
        const double middle_hz = (s.low_hz + s.high_hz) / 2;
        out.push_back({PlacementFault::service, s.order, sent_hz - middle_hz, (s.high_hz - s.low_hz) / 2,
                       middle_hz, s.name});
    }
    for (const double other : others) {
        // 3rd and 5th harmonics fall off slowest; theirs on this line, and this line's on theirs. Lines that
        // are the same (loop A and loop B) do not count.
        for (const int n : {3, 5}) {
            if (std::abs(n * other - f) < lobe)
                out.push_back({PlacementFault::harmonic_of_other, n, f - n * other, lobe, other, ""});
            if (std::abs(n * f - other) < lobe)
                out.push_back({PlacementFault::harmonic_of_other, -n, n * f - other, lobe, other, ""});
        }
    }
    if (!on_bin(rules, f)) {
        const double bins = f / rules.bin_width_hz();
        const double distance = (bins - std::round(bins)) * rules.bin_width_hz();
        out.push_back(
            {PlacementFault::off_bin, 0, distance, rules.bin_tolerance * rules.bin_width_hz(), 0, ""});
    }
    return out;
}

namespace {

// The divisor nearest to a frequency that is on a bin and free of remarks, not farther off than
// search_fraction of the frequency; nullopt when there is none.
std::optional<std::int64_t> nearest_clean_divisor(const PlacementRules& rules, double frequency_hz,
                                                  const std::vector<double>& others, double search_fraction) {
    const double exact = static_cast<double>(rules.clock_hz) / frequency_hz;
    const auto half = static_cast<std::int64_t>(std::llround(exact / 2));
    const auto reach = static_cast<std::int64_t>(exact * search_fraction / 2) + 1;
    for (std::int64_t step = 0; step <= reach; ++step)
        for (const std::int64_t h : {half + step, half - step}) {
            if (h < 1) continue;
            // A cheap test of most divisors first.
            if (on_bin(rules, frequency_of(rules, 2 * h)) && placement_remarks(rules, 2 * h, others).empty())
                return 2 * h;
        }
    return std::nullopt;
}

}  // namespace

std::vector<PlacementVerdict> judge_placement(const PlacementRules& rules,
                                              const std::vector<double>& requested_hz,
                                              double search_fraction) {
    std::vector<DivisorChoice> drives;
    std::vector<double> actual;
    for (const double f : requested_hz) {
        const auto exact = ratio_of_double(f);
        drives.push_back(
            nearest_divisor(rules.clock_hz, exact.value_or(Ratio{static_cast<std::int64_t>(f), 1})));
        actual.push_back(drives.back().frequency_hz.value());
    }
    const std::optional<Ratio> mains_hz = rules.mains_hz > 0 ? ratio_of_double(rules.mains_hz) : std::nullopt;
    std::vector<PlacementVerdict> out;
    for (std::size_t i = 0; i < requested_hz.size(); ++i) {
        PlacementVerdict v{};
        v.requested_hz = requested_hz[i];
        v.drive = drives[i];
        v.frequency_hz = actual[i];
        v.bin = bin_place(rules.sample_rate_hz, rules.record_length, v.drive.frequency_hz);
        if (mains_hz) {
            v.mains = mains_place(*mains_hz, v.drive.frequency_hz);
            v.mains_guard_hz = mains_guard_hz(static_cast<int>(v.mains.harmonic), rules.mains_hz,
                                              rules.weak_grid, rules.lobe_hz());
        }
        const std::vector<double> others = without(actual, i);
        v.remarks = placement_remarks(rules, v.drive.divisor, others);
        if (!v.clean()) {
            const auto found = nearest_clean_divisor(rules, v.requested_hz, others, search_fraction);
            if (found) {
                v.alternative_divisor = *found;
                v.alternative_hz = frequency_of(rules, *found);
            }
        }
        out.push_back(std::move(v));
    }
    return out;
}

std::vector<ProposedFrequency> propose_frequencies(const PlacementRules& rules, double low_hz, double high_hz,
                                                   int count) {
    std::vector<ProposedFrequency> out;
    std::vector<double> taken;
    const double step = count > 1 ? std::log(high_hz / low_hz) / (count - 1) : 0.2;
    for (int i = 0; i < count; ++i) {
        ProposedFrequency line{};
        line.wanted_hz = count > 1 ? low_hz * std::exp(step * i) : low_hz;
        line.divisor = nearest_clean_divisor(rules, line.wanted_hz, taken, std::expm1(step / 2));
        if (line.divisor) {
            line.frequency_hz = frequency_of(rules, *line.divisor);
            taken.push_back(line.frequency_hz);
        }
        out.push_back(line);
    }
    return out;
}

}  // namespace ampturn::model::receiver
