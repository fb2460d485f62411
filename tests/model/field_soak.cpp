// Random grounds over the whole range of the field engine: how far the fast path is from the reference path, and
// whether the error estimates say so.
//
//     field_soak [GROUNDS [SEED]]      default 200, 7
//
// Each ground: 1 to 64 layers, one frequency, one dipole, twelve offsets of a random stretch of 1 m to 20 km. Prints
// a table and exits 1 where a result is farther from the reference than the tolerance of 1e-7 asked for and both
// estimates together.

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <map>
#include <random>
#include <string>
#include <vector>

#include "model/constants.hpp"
#include "model/fields.hpp"

namespace {

using namespace ampturn::model;

/// Numbers that depend on the seed alone: std distributions differ between libraries.
class Random {
  public:
    explicit Random(std::uint64_t seed) : engine_(seed) {}
    double uniform(double low, double high) {
        return low + (high - low) * static_cast<double>(engine_() >> 11) * 0x1p-53;
    }
    double log_uniform(double low, double high) { return low * std::pow(high / low, uniform(0, 1)); }
    bool chance(double share) { return uniform(0, 1) < share; }

  private:
    std::mt19937_64 engine_;
};

LayeredEarth random_earth(Random& random) {
    const int count = random.chance(0.1) ? 64 : 1 + static_cast<int>(random.uniform(0, 7));
    std::vector<Layer> layers;
    for (int i = 0; i < count; ++i) {
        Layer layer{.resistivity_ohm_m = random.log_uniform(1e-3, 1e6),
                    .relative_permittivity = random.uniform(1, 81)};
        if (i + 1 < count) layer.thickness_m = random.log_uniform(0.01, 1000);
        if (random.chance(0.3)) layer.relative_permeability = random.uniform(1, 2);
        if (random.chance(0.3)) layer.vertical_resistivity_ratio = random.log_uniform(0.1, 10);
        if (random.chance(0.2))
            layer.cole_cole = {.chargeability = random.uniform(0, 0.9),
                               .time_constant_s = random.log_uniform(1e-6, 100),
                               .exponent = random.uniform(0.1, 1)};
        layers.push_back(layer);
    }
    return LayeredEarth(layers);
}

double e_size(const Fields& f) { return std::max(std::abs(f.ex_v_per_m), std::abs(f.ey_v_per_m)); }
double h_size(const Fields& f) {
    return std::max({std::abs(f.hx_a_per_m), std::abs(f.hy_a_per_m), std::abs(f.hz_a_per_m)});
}
Fields difference(const Fields& a, const Fields& b) {
    return {a.ex_v_per_m - b.ex_v_per_m, a.ey_v_per_m - b.ey_v_per_m, a.hx_a_per_m - b.hx_a_per_m,
            a.hy_a_per_m - b.hy_a_per_m, a.hz_a_per_m - b.hz_a_per_m};
}

/// Worst cases of one kind of setting; everything relative to the vector.
struct Worst {
    long results = 0, beyond_estimate = 0, failures = 0;
    double miss = 0;                // fast against reference
    double miss_over_estimate = 0;  // of the two estimates together
    double reference_estimate = 0;
    std::map<Integration, long> ways;

    void add(double miss_rel, const FieldResult& fast, double fast_rel, double reference_rel) {
        ++results;
        ++ways[fast.integration];
        const double estimate = fast_rel + reference_rel;
        miss = std::max(miss, miss_rel);
        miss_over_estimate = std::max(miss_over_estimate, miss_rel / estimate);
        reference_estimate = std::max(reference_estimate, reference_rel);
        beyond_estimate += miss_rel > estimate;
        failures += !(miss_rel <= 1e-7 + estimate);
    }
};

int run(long grounds, std::uint64_t seed) {
    Random random(seed);
    std::map<std::string, Worst> kinds;
    for (long ground = 0; ground < grounds; ++ground) {
        const LayeredEarth earth = random_earth(random);
        const double frequency_hz = random.log_uniform(1, 1e6), azimuth = random.uniform(0, 2 * pi);
        const bool vertical = random.chance(0.3), full = random.chance(0.6);
        const Dipole dipole{.moment_a_m2 = {random.uniform(-1, 1), random.uniform(-1, 1),
                                            vertical ? random.uniform(-1, 1) + 1e-3 : 0},
                            .height_m = random.chance(0.3) ? 0 : random.log_uniform(0.1, 30)};
        const double z_m = random.chance(0.7) ? 0 : -random.log_uniform(0.1, 30);
        const double from = random.log_uniform(1, 1e4), to = from * random.uniform(1.05, 2e4 / from);
        std::vector<Receiver> receivers;
        for (int i = 0; i < 12; ++i) {
            const double r = std::clamp(random.log_uniform(from, to), 1.001, 1.999e4);
            receivers.push_back({r * std::cos(azimuth), r * std::sin(azimuth), z_m});
        }
        const FieldOptions options{.wavenumbers = full ? Wavenumbers::full : Wavenumbers::quasi_static,
                                   .tolerance_rel = 1e-7};
        FieldOptions reference_options = options;
        reference_options.tolerance_rel = 1e-9;
        reference_options.reference = true;
        const std::vector<Source> source{dipole};
        const auto fast = fields(earth, frequency_hz, source, receivers, options)[0];
        const auto reference = fields(earth, frequency_hz, source, receivers, reference_options)[0];
        const std::string kind =
            std::string(full ? "full wave, " : "quasi-static, ") + (vertical ? "any dipole" : "horizontal dipole");
        for (std::size_t i = 0; i < receivers.size(); ++i) {
            const Fields miss = difference(fast[i].fields, reference[i].fields);
            const double e = e_size(reference[i].fields), h = h_size(reference[i].fields);
            const long before = kinds[kind].failures;
            kinds[kind].add(e_size(miss) / e, fast[i], fast[i].e_error_v_per_m / e,
                            reference[i].e_error_v_per_m / e);
            kinds[kind].add(h_size(miss) / h, fast[i], fast[i].h_error_a_per_m / h,
                            reference[i].h_error_a_per_m / h);
            if (kinds[kind].failures != before)
                std::printf("ground %ld, offset %.6g m: E off by %.2g, H by %.2g (%s)\n", ground,
                            std::hypot(receivers[i].x_m, receivers[i].y_m), e_size(miss) / e, h_size(miss) / h,
                            method_text(fast[i]).c_str());
        }
    }
    std::printf("%ld grounds, seed %llu; everything relative to the vector of E or of H\n", grounds,
                static_cast<unsigned long long>(seed));
    long failures = 0;
    for (const auto& [kind, w] : kinds) {
        std::printf("%s: %ld vectors; fast against reference at most %.2g; beyond both estimates %ld, at most %.2g "
                    "times them; reference's own estimate at most %.2g\n",
                    kind.c_str(), w.results, w.miss, w.beyond_estimate, w.miss_over_estimate,
                    w.reference_estimate);
        constexpr std::array names{"shared contour", "filter", "own contour", "real axis"};
        for (const auto& [way, count] : w.ways)
            std::printf("    %s: %.1f %%\n", names[static_cast<std::size_t>(way)],
                        100.0 * static_cast<double>(count) / static_cast<double>(w.results));
        failures += w.failures;
    }
    return failures == 0 ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
    try {
        return run(argc > 1 ? std::atol(argv[1]) : 200, argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 7);
    } catch (const std::exception& error) {
        std::fprintf(stderr, "field_soak: %s\n", error.what());
        return 1;
    }
}
