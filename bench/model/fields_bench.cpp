#include <benchmark/benchmark.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>

#include <cmath>
#include <complex>
#include <vector>

#include "model/base/constants.hpp"
#include "model/contours/band_contour.hpp"
#include "model/fields/fields.hpp"
#include "model/integrals/dipole_integrals.hpp"
#include "model/integrals/quasi_static_filter_table.hpp"

// The planner's job: 5 layers, 16 frequencies from 1 kHz to 1 MHz, 500 (or 5000) offsets from 10 m to 5 km,
// two loops at a place as dipoles, five components; and the comparators doing the same, or a part of it, by
// other means. Every figure is for one thread. `checksum` is the sum of |Hx| over the job.

namespace {

using namespace ampturn::model;
using namespace ampturn::model::contours;
using namespace ampturn::model::fields;
using namespace ampturn::model::ground;
using namespace ampturn::model::integrals;
using Complex = std::complex<double>;

LayeredEarth bench_earth() {
    return LayeredEarth({{.resistivity_ohm_m = 50, .thickness_m = 10, .relative_permittivity = 20},
                         {.resistivity_ohm_m = 20, .thickness_m = 8, .relative_permittivity = 20},
                         {.resistivity_ohm_m = 1e4, .thickness_m = 100, .relative_permittivity = 6},
                         {.resistivity_ohm_m = 3e4, .thickness_m = 300, .relative_permittivity = 6},
                         {.resistivity_ohm_m = 1e5, .relative_permittivity = 5.5}});
}

constexpr int frequency_count = 16;
constexpr double height_m = 2;

std::vector<double> bench_frequencies_hz() {
    std::vector<double> f;
    for (int i = 0; i < frequency_count; ++i) f.push_back(1e3 * std::pow(1e3, i / (frequency_count - 1.0)));
    return f;
}

std::vector<Receiver> bench_receivers(int count) {
    std::vector<Receiver> r;
    for (int i = 0; i < count; ++i) {
        const double offset_m = 10 * std::pow(500, i / (count - 1.0));
        r.push_back({0.8 * offset_m, 0.6 * offset_m});
    }
    return r;
}

const std::vector<Source> two_loops{Dipole{.moment_a_m2 = {1, 0, 0}, .height_m = height_m},
                                    Dipole{.moment_a_m2 = {0, 1, 0}, .height_m = height_m}};

void job(benchmark::State& state, Wavenumbers wavenumbers) {
    const LayeredEarth earth = bench_earth();
    const std::vector<double> frequencies = bench_frequencies_hz();
    const FieldOptions options{.wavenumbers = wavenumbers, .tolerance_rel = 1e-7};
    // WorkspaceLease for the results of one frequency, used again for the next.
    std::vector<FieldResult> results(two_loops.size() * static_cast<std::size_t>(state.range(0)));
    const std::vector<Receiver> receivers = bench_receivers(static_cast<int>(state.range(0)));
    for (auto _ : state) {
        const FieldJob fields(two_loops, receivers);
        for (const double f : frequencies) {
            fields.compute(earth, f, options, results);
            benchmark::DoNotOptimize(results.data());
            benchmark::ClobberMemory();
        }
    }
    double checksum = 0;
    const FieldJob fields(two_loops, receivers);
    for (const double f : frequencies) {
        fields.compute(earth, f, options, results);
        for (const FieldResult& x : results) checksum += std::abs(x.fields.hx_a_per_m);
    }
    state.counters["checksum"] = checksum;
    state.counters["fields"] = benchmark::Counter(static_cast<double>(10 * frequency_count * state.range(0)),
                                                  benchmark::Counter::kIsIterationInvariantRate);
}

void full_wave_job(benchmark::State& state) { job(state, Wavenumbers::full); }
void quasi_static_job(benchmark::State& state) { job(state, Wavenumbers::quasi_static); }
BENCHMARK(full_wave_job)->Arg(500)->Arg(5000)->Unit(benchmark::kMillisecond);
BENCHMARK(quasi_static_job)->Arg(500)->Arg(5000)->Unit(benchmark::kMillisecond);

/// Plain direct convolution, quasi-static: the same filter, but every offset evaluates its own kernels, in
/// plain complex arithmetic. `sampled` offsets of the job's 16 x 500.
void direct_convolution(benchmark::State& state) {
    const LayeredEarth earth = bench_earth();
    const std::vector<Receiver> receivers = bench_receivers(500);
    const double omega = 2 * pi * 1e4;
    double checksum = 0;
    std::size_t next = 0;
    for (auto _ : state) {
        const Receiver& rx = receivers[next++ % receivers.size()];
        const double r = std::hypot(rx.x_m, rx.y_m);
        std::array<Complex, 5> sum{};
        for (int k = 100; k < filter_count; ++k) {
            const double l = std::exp(filter_spacing * (filter_first + k)) / r;
            Complex u_below;
            for (std::size_t i = earth.size(); i-- > 0;) {
                const Complex u = std::sqrt(Complex(l * l, omega * mu0_h_per_m / earth[i].resistivity_ohm_m));
                if (i + 1 == earth.size()) {
                    u_below = u;
                } else {
                    const Complex th = std::tanh(u * earth[i].thickness_m);
                    u_below = u * (u_below + u * th) / (u + u_below * th);
                }
            }
            const Complex e = std::exp(-l * height_m), p = 2 * l / (l + u_below) * e,
                          q = -2.0 * u_below / (l + u_below) * e * l;
            const auto at = static_cast<std::size_t>(k);
            sum[0] += filter_j0[at] * p * l;
            sum[1] += filter_j1[at] * p;
            sum[2] += filter_j0[at] * q * l;
            sum[3] += filter_j1[at] * q;
            sum[4] += filter_j1[at] * p * l * l;
        }
        for (const Complex& s : sum) checksum += std::abs(s) / r;
        benchmark::DoNotOptimize(checksum);
    }
    state.counters["job_ms"] =
        benchmark::Counter(1e-3 / (frequency_count * 500),
                           benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}
BENCHMARK(direct_convolution)->Unit(benchmark::kMicrosecond);

/// Adaptive integration by the GNU Scientific Library: qag between the zeros of J_n, partial sums until the
/// heights end the integrand; five integrals, quasi-static, relative error 1e-7 asked for; one offset per
/// iteration, where heights end the integrand soonest (10 m), so the easiest case.
struct GslIntegrand {
    double r;
    int which;
    bool imaginary;
    double omega;
    const LayeredEarth* earth;
};
double gsl_integrand(double l, void* data) {
    const auto& g = *static_cast<GslIntegrand*>(data);
    Complex u_below;
    for (std::size_t i = g.earth->size(); i-- > 0;) {
        const Complex u = std::sqrt(Complex(l * l, g.omega * mu0_h_per_m / (*g.earth)[i].resistivity_ohm_m));
        if (i + 1 == g.earth->size()) {
            u_below = u;
        } else {
            const Complex th = std::tanh(u * (*g.earth)[i].thickness_m);
            u_below = u * (u_below + u * th) / (u + u_below * th);
        }
    }
    const double e = std::exp(-l * height_m);
    const Complex p = 2 * l / (l + u_below) * e, q = -2.0 * u_below / (l + u_below) * e * l;
    const double j0 = ::j0(l * g.r), j1 = ::j1(l * g.r);
    Complex value;
    switch (g.which) {
        case 0:
            value = p * l * j0;
            break;
        case 1:
            value = p * j1;
            break;
        case 2:
            value = q * l * j0;
            break;
        case 3:
            value = q * j1;
            break;
        default:
            value = p * l * l * j1;
    }
    return g.imaginary ? value.imag() : value.real();
}
void gsl_adaptive(benchmark::State& state) {
    const LayeredEarth earth = bench_earth();
    gsl_set_error_handler_off();
    gsl_integration_workspace* space = gsl_integration_workspace_alloc(500);
    double checksum = 0;
    for (auto _ : state) {
        checksum = 0;
        for (int which = 0; which < 5; ++which)
            for (const bool imaginary : {false, true}) {
                GslIntegrand g{10, which, imaginary, 2 * pi * 1e4, &earth};
                gsl_function f{gsl_integrand, &g};
                double total = 0;
                for (double from = 0; from * height_m < 20; from += pi / g.r) {
                    double part = 0, error = 0;
                    gsl_integration_qag(&f, from, from + pi / g.r, 1e-7 * std::abs(total) + 1e-14, 1e-7, 500,
                                        GSL_INTEG_GAUSS21, space, &part, &error);
                    total += part;
                }
                checksum += std::abs(total);
            }
        benchmark::DoNotOptimize(checksum);
    }
    gsl_integration_workspace_free(space);
    state.counters["job_ms"] =
        benchmark::Counter(1e-3 / (frequency_count * 500),
                           benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}
BENCHMARK(gsl_adaptive)->Unit(benchmark::kMicrosecond);

/// Where the time goes: kernels of one contour (5 layers), its terms, its sums for 16 offsets.
struct Parts {
    LayeredEarth earth = bench_earth();
    LayerKernels kernels{earth, 1e4, Wavenumbers::full};
    std::shared_ptr<const BandTable> table = band_table(BandAccuracy::fast, 16, 0);
    SampledKernels sampled;
    TermArrays terms;
    Parts() {
        sampled.lambda.resize(table->size);
        for (std::size_t i = 0; i < table->size; ++i) {
            const Complex lambda = std::polar(1e-3, 0.9) * std::exp(0.05 * static_cast<double>(i));
            sampled.lambda.re[i] = lambda.real();
            sampled.lambda.im[i] = lambda.imag();
        }
        kernels.evaluate(sampled.lambda, sampled.response);
        make();
    }
    void make() { make_terms(kernels, {sampled, 0, table->size}, {height_m, 0}, Forms::whole, terms); }
};
void part_kernels(benchmark::State& state) {
    Parts p;
    for (auto _ : state) p.kernels.evaluate(p.sampled.lambda, p.sampled.response);
    state.counters["node_layers"] = benchmark::Counter(static_cast<double>(p.table->size * 5),
                                                       benchmark::Counter::kIsIterationInvariantRate);
}
void part_terms(benchmark::State& state) {
    Parts p;
    for (auto _ : state) p.make();
    state.counters["nodes"] =
        benchmark::Counter(static_cast<double>(p.table->size), benchmark::Counter::kIsIterationInvariantRate);
}
void part_sums(benchmark::State& state) {
    Parts p;
    double checksum = 0;
    for (auto _ : state)
        for (const CarrierWeights& w : p.table->weights)
            checksum +=
                sum_terms(p.terms.whole, w, 0, p.table->size, {.terms = horizontal_terms, .magnitude = false})
                    .value[p0]
                    .real();
    benchmark::DoNotOptimize(checksum);
    // A complex multiply and add: 8 operations; 7 terms.
    state.counters["flops"] = benchmark::Counter(static_cast<double>(p.table->size * 16 * 7 * 8),
                                                 benchmark::Counter::kIsIterationInvariantRate);
}
BENCHMARK(part_kernels)->Unit(benchmark::kMicrosecond);
BENCHMARK(part_terms)->Unit(benchmark::kMicrosecond);
BENCHMARK(part_sums)->Unit(benchmark::kMicrosecond);

}  // namespace
