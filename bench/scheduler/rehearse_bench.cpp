#include <benchmark/benchmark.h>

#include <complex>

#include "scheduler/rehearse/process/spectra.hpp"
#include "scheduler/rehearse/record/noise_stream.hpp"

// What a rehearsal's time goes to: drawing four channels of noise, and the spectra of records of one second.
namespace {

using namespace ampturn;
using namespace ampturn::rehearse::process;
using namespace ampturn::rehearse::record;

void noise_of_four_channels(benchmark::State& state) {
    const NoiseShape shape = noise_shape(
        [](double) {
            return DensityAt{1e-12, 1e-13, 1e-14};
        },
        [](double f) { return std::polar(1e-3 * std::sqrt(f), 0.78); }, 102400,
        static_cast<std::size_t>(state.range(0)), {});
    NoiseStream stream(shape, 1, 2, false);
    ChannelBlock block;
    double checksum = 0;
    for (auto _ : state) {
        stream.next(block);
        checksum += block.samples[ex][0] + block.samples[hy][1];
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(stream.hop()));
    state.counters["checksum"] = checksum;
}
BENCHMARK(noise_of_four_channels)->Arg(1024)->Arg(2048)->Arg(4096)->Arg(8192);

void spectra_of_a_record(benchmark::State& state) {
    const auto length = static_cast<std::size_t>(state.range(0));
    StepSpectra spectra(102400, window_weights(plan::Window::hann, length), {},
                        StepSpectra::Keep::bands_only);
    std::vector<double> x(length);
    for (std::size_t n = 0; n < length; ++n) x[n] = static_cast<double>(n * 2654435761u % 1000) - 500;
    for (auto _ : state) spectra.add({x, x, x, x});
    state.SetItemsProcessed(state.iterations() * state.range(0));
    state.counters["records"] = static_cast<double>(spectra.records());
}
BENCHMARK(spectra_of_a_record)->Arg(3200)->Arg(102400);

}  // namespace
