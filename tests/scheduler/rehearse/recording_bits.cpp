// Prints every bit of what a step's recording gives, and of the sums of a source-aware Jacobian, to compare builds for different vector
// instructions.
//
//     recording_bits STEPS

#include <complex>
#include <cstdio>
#include <cstdlib>

#include "model/inversion/dipole_contour.hpp"
#include "scheduler/rehearse/process/line_draw.hpp"
#include "scheduler/rehearse/process/step_processor.hpp"

namespace {

using namespace ampturn;
using namespace ampturn::rehearse;
using Complex = std::complex<double>;

void print(const process::LineRecords& lines) {
    for (const process::LineRecord& r : lines)
        for (const Complex z : {r.ex, r.ey, r.hx, r.hy}) std::printf("%a %a\n", z.real(), z.imag());
}

void record_step(std::uint64_t stream) {
    const double line_hz = 1011;
    const record::Impedance ground = [](double f) { return std::polar(1e-3 * std::sqrt(f), 0.7); };
    const record::Densities densities = [](double f) {
        return record::DensityAt{.natural_h = 1e-10 / f, .sensor_h = 1e-14, .sensor_e = 1e-16};
    };
    plan::Receiver receiver;
    receiver.sample_rate_hz = 16384;
    receiver.record_length = 2000;
    plan::Noise noise;
    noise.interferers = {{.name = "invented", .frequency_hz = 1100, .half_width_hz = 60, .b_nt = 0.01}};
    record::StepRecording step{.sampling = setup::sampling_for(receiver, line_hz, 2),
                               .frequency_hz = line_hz,
                               .start_s = 3600,
                               .ramp_s = 10 / line_hz,
                               .dwell_s = 2,
                               .envelope = {10, 2 * line_hz, 10},
                               .lines = {{line_hz * (1 + 2e-6), {1e-6, Complex(0, 2e-6), 3e-6, 4e-6, 0}}},
                               .stream = stream};
    const double rate_hz = step.sampling.sample_rate_hz;
    const record::NoiseShape shape = record::noise_shape(densities, ground, rate_hz, 2048, {});
    const record::MainsWave mains(
        {.frequency_hz = 50, .fundamental_b_t = 1e-10, .weak_grid = false, .orders = 40}, ground, rate_hz, 1,
        2);
    const auto carriers = record::keyed_carriers(noise.interferers, ground, 1, 3);
    const model::receiver::Adc adc = model::receiver::adc(0.02, 24, 1);
    process::StepProcessor processor(step, plan::Window::hann, {}, process::StepSpectra::Keep::densities);
    const std::size_t clipped = record::synthesise(
        step,
        {.noise = &shape,
         .mains = &mains,
         .carriers = carriers,
         .adc_e = adc,
         .adc_h = adc,
         .with_vertical = true,
         .seed = 1},
        [&](const record::ChannelBlock& block, std::size_t first) { processor.add(block, first); });
    std::printf("%zu\n", clipped);
    print(processor.lines());
    for (const double x : processor.spectra().density(1)) std::printf("%a\n", x);
    print(process::LineDraw(line_hz, step.sampling, plan::Window::hann,
                            std::vector<double>{step.lines[0].frequency_hz})
              .draw(step, {.density = densities(line_hz),
                           .impedance_ohm = ground(line_hz),
                           .impulses = {},
                           .mains = &mains,
                           .carriers = carriers,
                           .adc_e = adc,
                           .adc_h = adc,
                           .seed = 1}));
}

void slope(model::inversion::Slopes slopes, model::ground::Wavenumbers wavenumbers) {
    std::vector<model::ground::Layer> layers(3);
    for (std::size_t i = 0; i < 3; ++i) {
        layers[i].resistivity_ohm_m = i == 1 ? 20 : 300;
        if (i < 2) layers[i].thickness_m = 40;
    }
    model::inversion::DipoleContour contour({.offset_m = 120, .source_height_m = 3, .receiver_height_m = 0},
                                            true);
    const auto print_all = [](const model::inversion::SurfaceIntegrals& s) {
        for (const Complex z : {s.e_radial, s.e_across, s.h_radial, s.h_across, s.v_e, s.v_hr})
            std::printf("%a %a\n", z.real(), z.imag());
    };
    for (const double frequency_hz : {500.0, 5000.0, 50000.0}) {
        const model::inversion::SurfaceSums sums =
            contour.sums(model::ground::LayeredEarth(layers), frequency_hz, slopes, wavenumbers);
        print_all(sums.value);
        for (const auto& by : sums.by_ln_resistivity) print_all(by);
        for (const auto& by : sums.by_ln_thickness) print_all(by);
    }
}

}  // namespace

int main(int argc, char** argv) {
    const long steps = argc > 1 ? std::atol(argv[1]) : 2;
    for (long i = 0; i < steps; ++i) record_step(static_cast<std::uint64_t>(i));
    for (const auto waves : {model::ground::Wavenumbers::full, model::ground::Wavenumbers::quasi_static})
        for (const auto slopes : {model::inversion::Slopes::none, model::inversion::Slopes::resistivities,
                                  model::inversion::Slopes::resistivities_and_thicknesses})
            slope(slopes, waves);
}
