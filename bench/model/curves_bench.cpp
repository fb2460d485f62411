#include <benchmark/benchmark.h>

#include <cmath>
#include <vector>

#include "model/fields/fields.hpp"

// How the time of the job of fields_bench.cpp changes with the number of layers, of offsets and with the tolerance, one at
// a time: full wave and quasi-static, two dipoles, or two loops of 4 m by 4 m that stand upright. One thread; 16
// frequencies. Unless varied: 5 layers, 500 offsets from 20 m to 5 km, tolerance 1e-7.

namespace {

using namespace ampturn::model;
using namespace ampturn::model::fields;
using ground::Layer;
using ground::LayeredEarth;
using ground::Wavenumbers;

struct Size {
    int layers = 5, offsets = 500, tolerance_exponent = 7;
};

/// Layers of 10 m, each two times as thick as the one five above, of resistivities that go up and down.
LayeredEarth earth_of(int layers) {
    std::vector<Layer> list;
    for (int i = 0; i < layers; ++i) {
        Layer layer{.resistivity_ohm_m = 50.0 * std::pow(10, i % 3), .relative_permittivity = 8};
        if (i + 1 < layers) layer.thickness_m = 10.0 * std::pow(2, i / 5);
        list.push_back(layer);
    }
    return LayeredEarth(list);
}

std::vector<Receiver> receivers_of(int offsets) {
    std::vector<Receiver> list;
    for (int i = 0; i < offsets; ++i) {
        const double offset_m = 20 * std::pow(250, i / (offsets - 1.0));
        list.push_back({0.8 * offset_m, 0.6 * offset_m});
    }
    return list;
}

std::vector<Source> dipoles() {
    return {Dipole{.moment_a_m2 = {16, 0, 0}, .height_m = 3},
            Dipole{.moment_a_m2 = {0, 16, 0}, .height_m = 3}};
}
std::vector<Source> loops() {
    return {Loop{.vertices_xyz_m = {{0, -2, -1}, {0, 2, -1}, {0, 2, -5}, {0, -2, -5}}},
            Loop{.vertices_xyz_m = {{-2, 0, -1}, {-2, 0, -5}, {2, 0, -5}, {2, 0, -1}}}};
}

void curve(benchmark::State& state, Wavenumbers wavenumbers, const std::vector<Source>& sources,
           int Size::*varied) {
    Size size;
    size.*varied = static_cast<int>(state.range(0));
    const LayeredEarth earth = earth_of(size.layers);
    const std::vector<Receiver> receivers = receivers_of(size.offsets);
    const FieldOptions options{.wavenumbers = wavenumbers,
                               .tolerance_rel = std::pow(10, -size.tolerance_exponent)};
    std::vector<FieldResult> results(sources.size() * receivers.size());
    auto job = [&] {
        const FieldJob fields(sources, receivers);
        for (int i = 0; i < 16; ++i) fields.compute(earth, 1e3 * std::pow(1e3, i / 15.0), options, results);
        benchmark::DoNotOptimize(results.data());
        benchmark::ClobberMemory();
    };
    job();  // makes the contour tables, once in a process
    for (auto _ : state) job();
}

void register_curves() {
    struct Axis {
        const char* name;
        int Size::*varied;
        std::vector<int> values;
    };
    const Axis axes[] = {{"layers", &Size::layers, {2, 5, 10, 20, 40}},
                         {"offsets", &Size::offsets, {100, 1'000, 10'000, 100'000}},
                         {"tolerance", &Size::tolerance_exponent, {5, 6, 7, 8, 9}}};
    for (const Axis& axis : axes)
        for (const bool full : {true, false})
            for (const bool finite : {false, true}) {
                const std::string name = std::string("curve_") + axis.name + "_" +
                                         (full ? "full" : "quasi_static") + "_" +
                                         (finite ? "loops" : "dipoles");
                auto* one = benchmark::RegisterBenchmark(name.c_str(), [=](benchmark::State& state) {
                    curve(state, full ? Wavenumbers::full : Wavenumbers::quasi_static,
                          finite ? loops() : dipoles(), axis.varied);
                });
                for (const int value : axis.values) one->Arg(value);
                one->Unit(benchmark::kMillisecond);
            }
}
[[maybe_unused]] const bool registered = [] {
    register_curves();
    return true;
}();

}  // namespace
