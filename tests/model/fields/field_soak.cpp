// Random grounds over the whole range of the field engine: how far the fast path is from the reference path,
// and whether the error estimates say so.
//
//     field_soak [GROUNDS [SEED [TOLERANCE]]]      default 200, 7, 1e-7
//
// Each ground: 1 to 64 layers, one frequency, one dipole, twelve offsets of a random stretch of 1 m to 20 km.
// Prints a table and exits 1 where a result is farther from the reference than the tolerance asked for and both
// estimates together.

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <map>
#include <string>
#include <vector>

#include "model/fields/fields.hpp"
#include "model/fields/point_fields.hpp"
#include "tests/model/fields/random_case.hpp"

namespace {

using namespace ampturn::model::fields;
using namespace ampturn::model::ground;
using ampturn::test::random_case;
using ampturn::test::RandomCase;

/// Worst cases of one kind of setting; everything relative to the vector.
struct Worst {
    long results = 0, beyond_estimate = 0, failures = 0;
    double miss = 0;                // fast against reference
    double miss_over_estimate = 0;  // of the two estimates together
    double reference_estimate = 0;
    std::map<Integration, long> ways;

    void add(double miss_rel, const FieldResult& fast, double fast_rel, double reference_rel,
             double tolerance_rel) {
        ++results;
        ++ways[fast.integration];
        const double estimate = fast_rel + reference_rel;
        miss = std::max(miss, miss_rel);
        miss_over_estimate = std::max(miss_over_estimate, miss_rel / estimate);
        reference_estimate = std::max(reference_estimate, reference_rel);
        beyond_estimate += miss_rel > estimate;
        failures += !(miss_rel <= tolerance_rel + estimate);
    }
};

int run(long grounds, std::uint64_t seed, double tolerance_rel) {
    ampturn::test::Random random(seed);
    std::map<std::string, Worst> kinds;
    for (long ground = 0; ground < grounds; ++ground) {
        const RandomCase c = random_case(random);
        const FieldOptions options{.wavenumbers = c.wavenumbers, .tolerance_rel = tolerance_rel};
        FieldOptions reference_options = options;
        reference_options.tolerance_rel = 0.01 * tolerance_rel;
        reference_options.reference = true;
        const std::vector<Source> source{c.dipole};
        const auto fast = fields_at(c.earth, c.frequency_hz, source, c.receivers, options)[0];
        const auto reference = fields_at(c.earth, c.frequency_hz, source, c.receivers, reference_options)[0];
        const std::string kind =
            std::string(c.wavenumbers == Wavenumbers::full ? "full wave, " : "quasi-static, ") +
            (c.dipole.moment_a_m2[2] != 0 ? "any dipole" : "horizontal dipole");
        for (std::size_t i = 0; i < c.receivers.size(); ++i) {
            const Fields miss = fast[i].fields - reference[i].fields;
            const double e = e_size(reference[i].fields), h = h_size(reference[i].fields);
            const long before = kinds[kind].failures;
            kinds[kind].add(e_size(miss) / e, fast[i], fast[i].e_error_v_per_m / e,
                            reference[i].e_error_v_per_m / e, tolerance_rel);
            kinds[kind].add(h_size(miss) / h, fast[i], fast[i].h_error_a_per_m / h,
                            reference[i].h_error_a_per_m / h, tolerance_rel);
            if (kinds[kind].failures != before)
                std::printf("ground %ld, offset %.6g m: E off by %.2g, H by %.2g (%s)\n", ground,
                            std::hypot(c.receivers[i].x_m, c.receivers[i].y_m), e_size(miss) / e,
                            h_size(miss) / h, method_text(fast[i]).c_str());
        }
    }
    std::printf("%ld grounds, seed %llu, tolerance %g; everything relative to the vector of E or of H\n",
                grounds, static_cast<unsigned long long>(seed), tolerance_rel);
    long failures = 0;
    for (const auto& [kind, w] : kinds) {
        std::printf(
            "%s: %ld vectors; fast against reference at most %.2g; "
            "beyond both estimates %ld, at most %.2g times them; reference's own estimate at most %.2g\n",
            kind.c_str(), w.results, w.miss, w.beyond_estimate, w.miss_over_estimate, w.reference_estimate);
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
        return run(argc > 1 ? std::atol(argv[1]) : 200, argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 7,
                   argc > 3 ? std::strtod(argv[3], nullptr) : 1e-7);
    } catch (const std::exception& error) {
        std::fprintf(stderr, "field_soak: %s\n", error.what());
        return 1;
    }
}
