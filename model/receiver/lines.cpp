#include "model/receiver/lines.hpp"

#include <algorithm>
#include <cmath>

namespace ampturn::model {

namespace {

// Nearest divisor to a frequency (even) that passes, looking outwards to +-fraction of the frequency.
template <class Passes>
std::optional<std::int64_t> nearest_passing(const LineRules& rules, double frequency_hz, double fraction,
                                            const Passes& passes) {
    const double exact = static_cast<double>(rules.clock_hz) / frequency_hz;
    const auto half = static_cast<std::int64_t>(std::llround(exact / 2));
    const auto reach = static_cast<std::int64_t>(exact * fraction / 2) + 1;
    for (std::int64_t step = 0; step <= reach; ++step)
        for (const std::int64_t sign : {std::int64_t{1}, std::int64_t{-1}}) {
            const std::int64_t h = half + sign * step;
            if (h >= 1 && passes(2 * h)) return 2 * h;
            if (step == 0) break;
        }
    return std::nullopt;
}

double frequency_of(const LineRules& rules, std::int64_t divisor) {
    return static_cast<double>(rules.clock_hz) / static_cast<double>(divisor);
}

bool on_bin(const LineRules& rules, double frequency_hz) {
    const double bins = frequency_hz / rules.bin_width_hz();
    return std::abs(bins - std::round(bins)) <= rules.bin_tolerance;
}

std::vector<double> without(const std::vector<double>& all, std::size_t index) {
    std::vector<double> out = all;
    out.erase(out.begin() + static_cast<std::ptrdiff_t>(index));
    return out;
}

}  // namespace

const char* name(LineFault fault) {
    switch (fault) {
        case LineFault::off_bin:
            return "off bin";
        case LineFault::mains:
            return "mains";
        case LineFault::interferer:
            return "interferer";
        case LineFault::harmonic_of_other:
            return "harmonic";
        case LineFault::beyond_receiver:
            return "beyond receiver";
    }
    return "?";
}

double mains_guard_hz(const LineRules& rules, std::int64_t order) {
    return static_cast<double>(order) * rules.mains_wander_hz + rules.guard_bins * rules.bin_width_hz();
}

std::vector<LineRemark> line_remarks(const LineRules& rules, std::int64_t divisor,
                                     const std::vector<double>& others) {
    std::vector<LineRemark> out;
    const double f = frequency_of(rules, divisor);
    const double lobe = rules.guard_bins * rules.bin_width_hz();
    const double highest = rules.nyquist_fraction * rules.sample_rate_hz.value() / 2;
    if (f > highest) out.push_back({LineFault::beyond_receiver, 0, f - highest, 0, highest, ""});
    if (rules.mains_hz > 0) {
        const auto mains = static_cast<double>(rules.mains_hz);
        const auto order = std::max<std::int64_t>(1, std::llround(f / mains));
        const double distance = f - static_cast<double>(order) * mains;
        const double guard = mains_guard_hz(rules, order);
        if (order <= rules.mains_orders && std::abs(distance) < guard)
            out.push_back({LineFault::mains, static_cast<int>(order), distance, guard, mains, ""});
    }
    for (const LineInterferer& i : rules.interferers) {
        const double guard = i.half_width_hz + lobe;
        if (std::abs(f - i.frequency_hz) < guard)
            out.push_back({LineFault::interferer, 1, f - i.frequency_hz, guard, i.frequency_hz, i.name});
    }
    for (const double other : others) {
        // 3rd and 5th harmonics fall off slowest; theirs on this line, and this line's on theirs. Lines that
        // are the same (loop A and loop B) do not count.
        for (const int n : {3, 5}) {
            if (std::abs(n * other - f) < lobe)
                out.push_back({LineFault::harmonic_of_other, n, f - n * other, lobe, other, ""});
            if (std::abs(n * f - other) < lobe)
                out.push_back({LineFault::harmonic_of_other, -n, n * f - other, lobe, other, ""});
        }
    }
    if (!on_bin(rules, f)) {
        const double bins = f / rules.bin_width_hz();
        const double distance = (bins - std::round(bins)) * rules.bin_width_hz();
        out.push_back({LineFault::off_bin, 0, distance, rules.bin_tolerance * rules.bin_width_hz(), 0, ""});
    }
    return out;
}

std::vector<LineVerdict> judge_lines(const LineRules& rules, const std::vector<double>& requested_hz,
                                     double search_fraction) {
    std::vector<DivisorChoice> drives;
    std::vector<double> actual;
    for (const double f : requested_hz) {
        const auto exact = ratio_of_double(f);
        drives.push_back(
            nearest_divisor(rules.clock_hz, exact.value_or(Ratio{static_cast<std::int64_t>(f), 1})));
        actual.push_back(drives.back().frequency_hz.value());
    }
    std::vector<LineVerdict> out;
    for (std::size_t i = 0; i < requested_hz.size(); ++i) {
        LineVerdict v{};
        v.requested_hz = requested_hz[i];
        v.drive = drives[i];
        v.frequency_hz = actual[i];
        v.bin = bin_place(rules.sample_rate_hz, rules.record_length, v.drive.frequency_hz);
        if (rules.mains_hz > 0) {
            v.mains = mains_place(rules.mains_hz, v.drive.frequency_hz);
            v.mains_guard_hz = mains_guard_hz(rules, v.mains.harmonic);
        }
        const std::vector<double> others = without(actual, i);
        v.remarks = line_remarks(rules, v.drive.divisor, others);
        if (!v.clean()) {
            const auto found =
                nearest_passing(rules, v.requested_hz, search_fraction, [&](std::int64_t divisor) {
                    return on_bin(rules, frequency_of(rules, divisor)) &&
                           line_remarks(rules, divisor, others).empty();
                });
            if (found) {
                v.alternative_divisor = *found;
                v.alternative_hz = frequency_of(rules, *found);
            }
        }
        out.push_back(std::move(v));
    }
    return out;
}

std::vector<ProposedLine> propose_lines(const LineRules& rules, double low_hz, double high_hz, int count) {
    std::vector<ProposedLine> out;
    std::vector<double> taken;
    const double step = count > 1 ? std::log(high_hz / low_hz) / (count - 1) : 0.2;
    for (int i = 0; i < count; ++i) {
        ProposedLine line{};
        line.wanted_hz = count > 1 ? low_hz * std::exp(step * i) : low_hz;
        line.divisor =
            nearest_passing(rules, line.wanted_hz, std::expm1(step / 2), [&](std::int64_t divisor) {
                return on_bin(rules, frequency_of(rules, divisor)) &&
                       line_remarks(rules, divisor, taken).empty();
            });
        if (line.divisor) {
            line.frequency_hz = frequency_of(rules, *line.divisor);
            taken.push_back(line.frequency_hz);
        }
        out.push_back(line);
    }
    return out;
}

}  // namespace ampturn::model
