#include "scheduler/rehearse/record/source_line.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/constants.hpp"
#include "model/base/dispatch.hpp"
#include "model/base/vector_math.hpp"

namespace ampturn::rehearse::record {
namespace {

using Complex = std::complex<double>;

constexpr std::size_t lanes = 8;
constexpr std::size_t stretch = 512;  // samples between fresh sines

/// Phasors of so many samples side by side, and what turns them to the next so many.
struct Phasors {
    std::array<double, lanes> re, im;
    double turn_re, turn_im;
};

Phasors phasors_at(double phase_cycles, double cycles_a_sample) {
    Phasors p{};
    Complex z = unit_phasor(phase_cycles);
    const Complex turn = std::polar(1.0, 2 * model::pi * cycles_a_sample);
    const auto product = [](Complex a, Complex b) {
        return Complex(a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real());
    };
    for (std::size_t j = 0; j < lanes; ++j) {
        p.re[j] = z.real();
        p.im[j] = z.imag();
        z = product(z, turn);
    }
    const Complex two = product(turn, turn), four = product(two, two), eight = product(four, four);
    p.turn_re = eight.real();
    p.turn_im = eight.imag();
    return p;
}

struct Channel {
    double* samples;
    double re, im;  // amplitude
};

AMPTURN_DISPATCH(add_phasors,
                 (Phasors & p, const Channel* channels, std::size_t channel_number, std::size_t count), {
                     using Real = model::lane::V<width>;
                     constexpr std::size_t vectors = lanes / width;
                     Real re[vectors];
                     Real im[vectors];
                     for (std::size_t v = 0; v < vectors; ++v) {
                         re[v] = model::lane::load<width>(p.re.data() + v * width);
                         im[v] = model::lane::load<width>(p.im.data() + v * width);
                     }
                     for (std::size_t n = 0; n < count; n += lanes) {
                         for (std::size_t c = 0; c < channel_number; ++c)
                             for (std::size_t v = 0; v < vectors; ++v) {
                                 double* x = channels[c].samples + n + v * width;
                                 const Real tone = channels[c].re * re[v] - channels[c].im * im[v];
                                 model::lane::store(x, model::lane::load<width>(x) + tone);
                             }
                         for (std::size_t v = 0; v < vectors; ++v) {
                             const Real turned = re[v] * p.turn_re - im[v] * p.turn_im;
                             im[v] = re[v] * p.turn_im + im[v] * p.turn_re;
                             re[v] = turned;
                         }
                     }
                     for (std::size_t v = 0; v < vectors; ++v) {
                         model::lane::store(p.re.data() + v * width, re[v]);
                         model::lane::store(p.im.data() + v * width, im[v]);
                     }
                 })

/// Where the source ramps: every sample by its own level.
void add_ramping(ChannelBlock& block, std::size_t begin, std::size_t end, const SourceLine& line,
                 const model::receiver::StepEnvelope& envelope, double fundamental_hz, double begin_s,
                 double sample_rate_hz) {
    for (std::size_t n = begin; n < end; ++n) {
        const double time_s = begin_s + static_cast<double>(n - begin) / sample_rate_hz;
        const double cycles = line.frequency_hz * time_s;
        const Complex phasor =
            std::polar(envelope.at(fundamental_hz * time_s), 2 * model::pi * (cycles - std::floor(cycles)));
        for (std::size_t c = 0; c < channel_count; ++c)
            block.samples[c][n] +=
                line.amplitude[c].real() * phasor.real() - line.amplitude[c].imag() * phasor.imag();
    }
}

}  // namespace

Complex unit_phasor(double cycles) { return std::polar(1.0, 2 * model::pi * (cycles - std::floor(cycles))); }

void add_tone(ChannelBlock& block, std::size_t begin, std::size_t count, double phase_cycles,
              double cycles_a_sample, const ChannelAmplitudes& amplitude) {
    std::array<Channel, channel_count> channels;
    std::size_t channel_number = 0;
    for (std::size_t c = 0; c < channel_count; ++c)
        if (amplitude[c] != 0.0)
            channels[channel_number++] = {block.samples[c].data() + begin, amplitude[c].real(),
                                          amplitude[c].imag()};
    for (std::size_t done = 0; done < count; done += stretch) {
        const std::size_t some = std::min(stretch, count - done), whole = some / lanes * lanes;
        Phasors p = phasors_at(phase_cycles + static_cast<double>(done) * cycles_a_sample, cycles_a_sample);
        add_phasors(p, channels.data(), channel_number, whole);
        for (std::size_t c = 0; c < channel_number; ++c) {
            Channel& channel = channels[c];
            for (std::size_t n = whole; n < some; ++n)
                channel.samples[n] += channel.re * p.re[n - whole] - channel.im * p.im[n - whole];
            channel.samples += some;
        }
    }
}

void add_source(ChannelBlock& block, std::span<const SourceLine> lines,
                const model::receiver::StepEnvelope& envelope, double fundamental_hz, double first_s,
                double sample_rate_hz) {
    for (const SourceLine& line : lines)
        for (std::size_t begin = 0; begin < block.size(); begin += stretch) {
            const std::size_t end = std::min(block.size(), begin + stretch);
            const double begin_s = first_s + static_cast<double>(begin) / sample_rate_hz;
            const double end_s = first_s + static_cast<double>(end) / sample_rate_hz;
            if (fundamental_hz * begin_s >= envelope.ramp_cycles &&
                fundamental_hz * end_s < envelope.ramp_cycles + envelope.dwell_cycles)
                add_tone(block, begin, end - begin, line.frequency_hz * begin_s,
                         line.frequency_hz / sample_rate_hz, line.amplitude);
            else
                add_ramping(block, begin, end, line, envelope, fundamental_hz, begin_s, sample_rate_hz);
        }
}

}  // namespace ampturn::rehearse::record
