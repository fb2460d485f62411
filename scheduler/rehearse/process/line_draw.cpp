#include "scheduler/rehearse/process/line_draw.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

#include "model/base/constants.hpp"
#include "model/receiver/window.hpp"
#include "scheduler/run/counter_random.hpp"

namespace ampturn::rehearse::process {
namespace {

using Complex = std::complex<double>;
using record::ex;
using record::ey;
using record::hx;
using record::hy;

/// mean of w[n] e^{2 pi i n cycles_a_sample}, over the coherent gain.
Complex response(std::span<const double> weights, double coherent_gain, double cycles_a_sample) {
    Complex sum = 0, phasor;
    const Complex turn = record::unit_phasor(cycles_a_sample);
    for (std::size_t n = 0; n < weights.size(); ++n) {
        if (n % 64 == 0) phasor = record::unit_phasor(cycles_a_sample * static_cast<double>(n));
        sum += weights[n] * phasor;
        phasor = {phasor.real() * turn.real() - phasor.imag() * turn.imag(),
                  phasor.real() * turn.imag() + phasor.imag() * turn.real()};
    }
    return sum / (coherent_gain * static_cast<double>(weights.size()));
}

double bandwidth_bins(std::span<const double> weights, double coherent_gain) {
    double squares = 0;
    for (const double w : weights) squares += w * w;
    return squares / (static_cast<double>(weights.size()) * coherent_gain * coherent_gain);
}

}  // namespace

LineDraw::LineDraw(double frequency_hz, const setup::Sampling& sampling, plan::Window window,
                   std::span<const double> source_hz)
    : sampling_(sampling),
      weights_(window_weights(window, sampling.record_length)),
      detector_(frequency_hz, sampling.sample_rate_hz, weights_),
      coherent_gain_(model::receiver::coherent_gain(weights_)),
      noise_bandwidth_bins_(bandwidth_bins(weights_, coherent_gain_)) {
    for (const double source : source_hz)
        responses_.push_back(
            {.frequency_hz = source,
             .above = response(weights_, coherent_gain_, (source - frequency_hz) / sampling.sample_rate_hz),
             .below =
                 response(weights_, coherent_gain_, -(source + frequency_hz) / sampling.sample_rate_hz)});
}

/// The records of one step under way.
class LineDraw::Records {
  public:
    Records(const LineDraw& draw, const record::StepRecording& step, const LineSurroundings& around)
        : draw_(draw),
          step_(step),
          around_(around),
          rate_hz_(step.sampling.sample_rate_hz),
          length_(step.sampling.record_length),
          record_s_(static_cast<double>(length_) / rate_hz_),
          first_(static_cast<std::size_t>(std::ceil(step.ramp_s * rate_hz_))),
          amplitudes_(step.sampling.record_count) {
        block_.resize(some);
    }

    LineRecords all() {
        add_source();
        add_noise();
        add_impulses();
        add_mains();
        for (std::size_t i = 0; i < around_.carriers.size(); ++i) add_carrier(i);
        LineRecords records;
        for (std::size_t r = 0; r < amplitudes_.size(); ++r) {
            const auto& a = amplitudes_[r];
            records.push_back(
                {.middle_s = start_s(r) + record_s_ / 2, .ex = a[ex], .ey = a[ey], .hx = a[hx], .hy = a[hy]});
        }
        return records;
    }

  private:
    double start_s(std::size_t r) const { return static_cast<double>(first_ + r * length_) / rate_hz_; }
    run::CounterRandom random(const char* name) const {
        return {around_.seed, run::combine(step_.stream, run::stream_of(name))};
    }

    void add_source() {
        const double line_hz = draw_.detector_.frequency_hz();
        for (std::size_t i = 0; i < step_.lines.size(); ++i) {
            const Response& response = draw_.responses_[i];
            for (std::size_t r = 0; r < amplitudes_.size(); ++r) {
                const Complex along =
                    record::unit_phasor((response.frequency_hz - line_hz) * start_s(r)) * response.above;
                const Complex against =
                    record::unit_phasor(-(response.frequency_hz + line_hz) * start_s(r)) * response.below;
                for (std::size_t c = 0; c < 4; ++c)
                    amplitudes_[r][c] += step_.lines[i].amplitude[c] * along +
                                         std::conj(step_.lines[i].amplitude[c]) * against;
            }
        }
        take_ramps_off();
    }

    /// Records whose ends reach into a ramp, by a sample or by what the clocks are apart.
    void take_ramps_off() {
        const double fundamental_hz = step_.lines.front().frequency_hz;
        const auto& envelope = step_.envelope;
        const auto missing = [&](std::size_t sample) {
            const double cycle = fundamental_hz * static_cast<double>(sample) / rate_hz_;
            return 1 - envelope.at(cycle);
        };
        const auto take_off = [&](std::size_t r, std::size_t n) {
            const double time_s = static_cast<double>(first_ + r * length_ + n) / rate_hz_;
            const double weight = 2 * draw_.weights_[n] /
                                  (draw_.coherent_gain_ * static_cast<double>(length_)) *
                                  missing(first_ + r * length_ + n);
            const Complex reading = weight * record::unit_phasor(-draw_.detector_.frequency_hz() * time_s);
            for (const record::SourceLine& line : step_.lines) {
                const Complex phasor = record::unit_phasor(line.frequency_hz * time_s);
                for (std::size_t c = 0; c < 4; ++c)
                    amplitudes_[r][c] -= (line.amplitude[c] * phasor).real() * reading;
            }
        };
        for (std::size_t n = 0; n < length_ && missing(first_ + n) > 0; ++n) take_off(0, n);
        const std::size_t last = amplitudes_.size() - 1;
        for (std::size_t n = length_; n-- > 0 && missing(first_ + last * length_ + n) > 0;) take_off(last, n);
    }

    /// H = (x, y) as a plane wave goes with E = Z (y, -x).
    void add_plane_wave(std::size_t r, Complex x, Complex y) {
        amplitudes_[r][hx] += x;
        amplitudes_[r][hy] += y;
        amplitudes_[r][ex] += around_.impedance_ohm * y;
        amplitudes_[r][ey] -= around_.impedance_ohm * x;
    }

    void add_noise() {
        const auto rounding = [&](const model::receiver::Adc& adc) {
            return adc.step * adc.step / (6 * rate_hz_);
        };
        const model::receiver::CorrelatedPair pair = model::receiver::correlated_pair(
            around_.density.natural_h * (1 - around_.impulses.power_fraction),
            around_.density.sensor_h + rounding(around_.adc_h),
            around_.density.sensor_e + rounding(around_.adc_e), around_.impedance_ohm);
        // The draws have variance 1 in each part.
        const double scale = std::sqrt(draw_.noise_bandwidth_bins_ / record_s_);
        const run::CounterRandom values = random("line noise");
        for (std::size_t r = 0; r < amplitudes_.size(); ++r) {
            const auto unit = [&](std::uint64_t which) {
                const auto normal = values.normal_pair(4 * r + which);
                return scale * Complex(normal[0], normal[1]);
            };
            const Complex x = unit(0), y = unit(1);
            const Complex foretold = around_.impedance_ohm * pair.foretold;
            amplitudes_[r][hx] += pair.h * x;
            amplitudes_[r][hy] += pair.h * y;
            amplitudes_[r][ex] += foretold * y + pair.free * unit(2);
            amplitudes_[r][ey] -= foretold * x + pair.free * unit(3);
        }
    }

    void add_impulses() {
        const double density = around_.density.natural_h * around_.impulses.power_fraction;
        if (!(density > 0)) return;
        // A train of lambda impulses a second whose spectrum has the density: each is root(density/lambda) times its height
        // at the line, per second.
        const double each =
            2 / (record_s_ * draw_.coherent_gain_) * std::sqrt(density / around_.impulses.per_second);
        const run::CounterRandom values = random("line impulses");
        const double line_hz = draw_.detector_.frequency_hz();
        double time_s = 0;  // since the first record's start
        for (std::uint64_t i = 0;; ++i) {
            const record::DrawnImpulse impulse = record::drawn_impulse(around_.impulses, values, i);
            time_s += impulse.gap / around_.impulses.per_second;
            const double place = time_s / record_s_;
            if (!(place < static_cast<double>(amplitudes_.size()))) return;
            const auto r = static_cast<std::size_t>(place);
            const auto sample =
                static_cast<std::size_t>((place - static_cast<double>(r)) * static_cast<double>(length_));
            const Complex reading =
                each * impulse.height * draw_.weights_[sample] *
                record::unit_phasor(-line_hz * (start_s(r) + static_cast<double>(sample) / rate_hz_));
            add_plane_wave(r, std::cos(impulse.azimuth_rad) * reading,
                           std::sin(impulse.azimuth_rad) * reading);
        }
    }

    /// Reads two series that `next` goes on with, some samples at a time, through all records.
    template <class Next>
    void read_pairs(Next next, const std::array<Complex, 4>& of_first,
                    const std::array<Complex, 4>& of_second) {
        for (std::size_t r = 0; r < amplitudes_.size(); ++r) {
            Complex first = 0, second = 0;
            for (std::size_t done = 0; done < length_; done += some) {
                const std::size_t count = std::min(some, length_ - done);
                next(r * length_ + done, count);
                first += draw_.detector_.part(std::span(block_.samples[0]).first(count), done);
                second += draw_.detector_.part(std::span(block_.samples[1]).first(count), done);
            }
            const Complex turn = draw_.detector_.turn(start_s(r));
            for (std::size_t c = 0; c < 4; ++c)
                amplitudes_[r][c] += (of_first[c] * first + of_second[c] * second) * turn;
        }
    }

    void add_mains() {
        if (!around_.mains->any()) return;
        const std::array<double, 4>& direction = around_.mains->direction();
        const auto next = [&](std::size_t sample, std::size_t count) {
            around_.mains->along(std::span(block_.samples[0]).first(count),
                                 std::span(block_.samples[1]).first(count),
                                 step_.start_s + static_cast<double>(first_ + sample) / rate_hz_, rate_hz_);
        };
        read_pairs(next, {direction[ex], direction[ey], 0, 0}, {0, 0, direction[hx], direction[hy]});
    }

    void add_carrier(std::size_t i) {
        record::KeyedCarrier unit = around_.carriers[i];
        const record::ChannelAmplitudes amplitude = unit.amplitude;
        unit.amplitude = {1.0, Complex(0, -1)};  // its cosine and its sine
        record::KeyedCarrierWave wave(unit, rate_hz_, around_.seed, run::combine(step_.stream, i));
        if (!wave.heard()) return;
        wave.skip(first_);
        const auto next = [&](std::size_t, std::size_t count) {
            block_.resize(count);
            for (const std::size_t c : {0u, 1u})
                std::fill(block_.samples[c].begin(), block_.samples[c].end(), 0.0);
            wave.add(block_);
        };
        const auto parts = [&](auto part) {
            return std::array<Complex, 4>{part(amplitude[0]), part(amplitude[1]), part(amplitude[2]),
                                          part(amplitude[3])};
        };
        read_pairs(next, parts([](Complex z) { return z.real(); }),
                   parts([](Complex z) { return -z.imag(); }));
        block_.resize(some);
    }

    static constexpr std::size_t some = 1024;  // samples worked on at a time

    const LineDraw& draw_;
    const record::StepRecording& step_;
    const LineSurroundings& around_;
    double rate_hz_;
    std::size_t length_;
    double record_s_;
    std::size_t first_;  // sample of the first record
    std::vector<std::array<Complex, 4>> amplitudes_;
    record::ChannelBlock block_;
};

LineRecords LineDraw::draw(const record::StepRecording& step, const LineSurroundings& around) const {
    const bool same_lines = std::equal(
        step.lines.begin(), step.lines.end(), responses_.begin(), responses_.end(),
        [](const record::SourceLine& a, const Response& b) { return a.frequency_hz == b.frequency_hz; });
    if (step.frequency_hz != detector_.frequency_hz() || !same_lines || step.lines.empty() ||
        step.sampling.record_count == 0 || step.sampling.record_length != sampling_.record_length ||
        step.sampling.sample_rate_hz != sampling_.sample_rate_hz)
        throw std::invalid_argument(
            "line draw: a step of another frequency, sampling or source, or no record");
    return Records(*this, step, around).all();
}

}  // namespace ampturn::rehearse::process
