#include <benchmark/benchmark.h>

#include <array>
#include <cstddef>

#include "model/base/dispatch.hpp"
#include "model/base/lane_count.hpp"
#include "model/base/vector_math.hpp"

// What the processor can do at most with the vectors that the kernels use: additions, multiplications, both side by
// side, divisions and square roots, on independent numbers in registers; and all of them side by side in the proportion of a
// node and layer. `items` are vectors (of 4 doubles, or 8 with AVX-512).

namespace {

using namespace ampturn::model;
using lane::V;

// More than additions and multiplications of 3 cycles, two of each a cycle, keep under way; 16 registers hold them.
constexpr std::size_t chains = 14;
constexpr std::size_t rounds = 1'000;

/// Of a node and layer of model/integrals/layer_kernels.cpp: additions or multiplications, divisions, square roots.
constexpr std::size_t simple_of_a_layer = 280, divisions_of_a_layer = 5, roots_of_a_layer = 2;

template <std::size_t width, std::size_t count>
AMPTURN_LANE void read(const double* from, std::array<V<width>, count>& x) {
    for (std::size_t i = 0; i < count; ++i) x[i] = lane::load<width>(from + i * width);
}
template <std::size_t width, std::size_t count>
AMPTURN_LANE void write(const std::array<V<width>, count>& x, double* to) {
    for (std::size_t i = 0; i < count; ++i) lane::store(to + i * width, x[i]);
}

/// `rounds` times every chain by `step(x, index)`, in place.
template <std::size_t width, class Step>
AMPTURN_LANE void repeat(double* numbers, Step step) {
    std::array<V<width>, chains> x;
    read<width>(numbers, x);
    for (std::size_t n = 0; n < rounds; ++n)
        for (std::size_t i = 0; i < chains; ++i) x[i] = step(x[i], i);
    write<width>(x, numbers);
}

// Steps that keep numbers near 1 and never exact.
constexpr double small_step = 1.1e-9, factor = 1.0000000011, dividend = 1.7;

/// A node and layer, as if nothing waited for anything: 28 rounds of five additions and five multiplications, a
/// division or a root after every fourth.
template <std::size_t width>
AMPTURN_LANE void layer_mix(double* numbers) {
    static_assert(simple_of_a_layer == std::size_t{28} * 10 &&
                  divisions_of_a_layer + roots_of_a_layer == 28 / 4);
    std::array<V<width>, 13> x;
    read<width>(numbers, x);
    for (std::size_t n = 0; n < rounds; ++n) {
#pragma GCC unroll 28
        for (std::size_t j = 0; j < 28; ++j) {
            for (std::size_t i = 0; i < 5; ++i) x[i] = x[i] + small_step;
            for (std::size_t i = 5; i < 10; ++i) x[i] = x[i] * factor;
            if (j % 4 != 0) continue;
            if (j == 8 || j == 20)
                x[12] = lane::square_root<width>(x[12]);
            else
                x[10 + j / 4 % 2] = dividend / x[10 + j / 4 % 2];
        }
        x[12] = x[12] * dividend;  // away from 1, where roots would end
    }
    write<width>(x, numbers);
}

AMPTURN_DISPATCH(lanes, (std::size_t & out), out = width)
AMPTURN_DISPATCH(additions, (double* numbers),
                 repeat<width>(numbers, [](auto x, std::size_t) { return x + small_step; }))
AMPTURN_DISPATCH(multiplications, (double* numbers),
                 repeat<width>(numbers, [](auto x, std::size_t) { return x * factor; }))
AMPTURN_DISPATCH(both, (double* numbers), repeat<width>(numbers, [](auto x, std::size_t i) {
                     return i % 2 == 0 ? x + small_step : x * factor;
                 }))
AMPTURN_DISPATCH(divisions, (double* numbers),
                 repeat<width>(numbers, [](auto x, std::size_t) { return dividend / x; }))
AMPTURN_DISPATCH(roots, (double* numbers), repeat<width>(numbers, [](auto x, std::size_t) {
                     return lane::square_root<width>(x) * dividend;
                 }))
AMPTURN_DISPATCH(layer, (double* numbers), layer_mix<width>(numbers))

void measure(benchmark::State& state, void (*run)(double*), std::size_t items_of_a_round) {
    std::array<double, lane_count * std::size_t{16}> numbers{};
    for (std::size_t i = 0; i < numbers.size(); ++i) numbers[i] = 1 + 1e-3 * static_cast<double>(i);
    for (auto _ : state) {
        run(numbers.data());
        benchmark::ClobberMemory();
    }
    benchmark::DoNotOptimize(numbers);
    std::size_t width = 0;
    lanes(width);
    state.counters["lanes"] = static_cast<double>(width);
    state.SetItemsProcessed(static_cast<std::int64_t>(state.iterations() * rounds * items_of_a_round));
}
void arithmetic_additions(benchmark::State& state) { measure(state, additions, chains); }
void arithmetic_multiplications(benchmark::State& state) { measure(state, multiplications, chains); }
void arithmetic_both(benchmark::State& state) { measure(state, both, chains); }
void arithmetic_divisions(benchmark::State& state) { measure(state, divisions, chains); }
void arithmetic_roots(benchmark::State& state) { measure(state, roots, chains); }
/// Items: nodes and layers, a vector of them.
void arithmetic_layer(benchmark::State& state) { measure(state, layer, 1); }
BENCHMARK(arithmetic_additions);
BENCHMARK(arithmetic_multiplications);
BENCHMARK(arithmetic_both);
BENCHMARK(arithmetic_divisions);
BENCHMARK(arithmetic_roots);
BENCHMARK(arithmetic_layer);

}  // namespace
