#include "scheduler/rehearse/process/line.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <string>

#include "model/base/constants.hpp"
#include "model/base/dispatch.hpp"
#include "model/base/lane_count.hpp"
#include "model/base/vector_math.hpp"
#include "model/receiver/window.hpp"
#include "scheduler/plan/placement_rules.hpp"
#include "scheduler/rehearse/record/source_line.hpp"

namespace ampturn::rehearse::process {
namespace {

using Complex = std::complex<double>;

std::array<Complex, 4> channels(const LineRecord& record) {
    return {record.ex, record.ey, record.hx, record.hy};
}

/// sum x cosine and sum x sine, in as many running sums as lanes.
AMPTURN_DISPATCH(products,
                 (const double* x, const double* cosine, const double* sine, std::size_t count,
                  double& with_cosine, double& with_sine),
                 {
                     using Real = model::lane::V<width>;
                     constexpr std::size_t vectors = model::lane_count / width;
                     Real c[vectors]{};
                     Real s[vectors]{};
                     std::size_t n = 0;
                     for (; n + model::lane_count <= count; n += model::lane_count)
                         for (std::size_t v = 0; v < vectors; ++v) {
                             const Real some = model::lane::load<width>(x + n + v * width);
                             c[v] += some * model::lane::load<width>(cosine + n + v * width);
                             s[v] += some * model::lane::load<width>(sine + n + v * width);
                         }
                     double lanes[2][model::lane_count];
                     for (std::size_t v = 0; v < vectors; ++v) {
                         model::lane::store(lanes[0] + v * width, c[v]);
                         model::lane::store(lanes[1] + v * width, s[v]);
                     }
                     with_cosine = model::sum_of_lanes(lanes[0]);
                     with_sine = model::sum_of_lanes(lanes[1]);
                     for (; n < count; ++n) {
                         with_cosine += x[n] * cosine[n];
                         with_sine += x[n] * sine[n];
                     }
                 })

}  // namespace

std::vector<double> window_weights(plan::Window window, std::size_t record_length) {
    return model::receiver::periodic_samples(plan::window_of(window), record_length);
}

LineDetector::LineDetector(double frequency_hz, double sample_rate_hz, std::span<const double> weights)
    : frequency_hz_(frequency_hz), cosine_(weights.size()), sine_(weights.size()) {
    if (!(frequency_hz > 0 && frequency_hz < sample_rate_hz / 2))
        throw std::invalid_argument("line at " + std::to_string(frequency_hz) +
                                    " Hz, allowed above 0 and below " + std::to_string(sample_rate_hz / 2) +
                                    " Hz, half the sample rate");
    if (weights.size() < 2) throw std::invalid_argument("line: record of fewer than 2 samples");
    const double scale = 2 / (static_cast<double>(weights.size()) * model::receiver::coherent_gain(weights));
    const Complex turn = std::polar(1.0, 2 * model::pi * frequency_hz / sample_rate_hz);
    Complex phasor;
    for (std::size_t n = 0; n < weights.size(); ++n) {
        if (n % 64 == 0)  // a fresh sine now and then
            phasor = record::unit_phasor(frequency_hz * static_cast<double>(n) / sample_rate_hz);
        cosine_[n] = scale * weights[n] * phasor.real();
        sine_[n] = scale * weights[n] * phasor.imag();
        phasor = {phasor.real() * turn.real() - phasor.imag() * turn.imag(),
                  phasor.real() * turn.imag() + phasor.imag() * turn.real()};
    }
}

Complex LineDetector::part(std::span<const double> samples, std::size_t first) const {
    double in_phase = 0, against = 0;
    products(samples.data(), cosine_.data() + first, sine_.data() + first, samples.size(), in_phase, against);
    return {in_phase, -against};
}

Complex LineDetector::turn(double start_s) const {
    return std::conj(record::unit_phasor(frequency_hz_ * start_s));
}

Complex LineDetector::amplitude(std::span<const double> record, double start_s) const {
    return part(record, 0) * turn(start_s);
}

std::array<Complex, 4> LineDetector::amplitudes(const RecordView& record, double start_s) const {
    return {amplitude(record.ex, start_s), amplitude(record.ey, start_s), amplitude(record.hx, start_s),
            amplitude(record.hy, start_s)};
}

double clock_error_from_lines(std::span<const TimedLines> lines, double limit) {
    double longest_turns = 0;  // cycles lost over a step, per unit of clock error
    for (const TimedLines& line : lines) {
        if (line.records->size() < 2) continue;
        const double span_s = line.records->back().middle_s - line.records->front().middle_s;
        longest_turns = std::max(longest_turns, line.frequency_hz * span_s);
    }
    if (longest_turns == 0 || limit <= 0) return 0;

    const auto coherence = [&](double error) {
        double sum = 0;
        for (const TimedLines& line : lines) {
            std::array<Complex, 4> coherent{};
            std::array<double, 4> power{};
            for (const LineRecord& record : *line.records) {
                const Complex turn =
                    std::polar(1.0, -2 * model::pi * line.frequency_hz * error * record.middle_s);
                const auto x = channels(record);
                for (std::size_t c = 0; c < 4; ++c) {
                    coherent[c] += x[c] * turn;
                    power[c] += std::norm(x[c]);
                }
            }
            for (std::size_t c = 0; c < 4; ++c)
                if (power[c] > 0)
                    sum += std::norm(coherent[c]) / (static_cast<double>(line.records->size()) * power[c]);
        }
        return sum;
    };
    // A fifth of a cycle a grid step keeps the peak inside its neighbours' parabola.
    const double step = 0.2 / longest_turns;
    const auto half_steps = static_cast<long>(std::ceil(limit / step));
    long best = 0;
    double best_value = coherence(0);
    for (long i = -half_steps; i <= half_steps; ++i) {
        const double value = coherence(static_cast<double>(i) * step);
        if (value > best_value) {
            best_value = value;
            best = i;
        }
    }
    double centre = static_cast<double>(best) * step, width = step;
    for (int refinement = 0; refinement < 4; ++refinement, width /= 4) {
        const double low = coherence(centre - width), mid = coherence(centre),
                     high = coherence(centre + width);
        const double curvature = low - 2 * mid + high;
        if (!(curvature < 0)) break;
        centre += std::clamp(0.5 * (low - high) / curvature, -1.0, 1.0) * width;
    }
    return centre;
}

void undo_clock_error(LineRecords& records, double frequency_hz, double clock_error) {
    for (LineRecord& record : records) {
        const Complex turn = std::polar(1.0, -2 * model::pi * frequency_hz * clock_error * record.middle_s);
        record.ex *= turn;
        record.ey *= turn;
        record.hx *= turn;
        record.hy *= turn;
    }
}

}  // namespace ampturn::rehearse::process
