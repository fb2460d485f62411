#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <stdexcept>
#include <thread>
#include <vector>

#include "model/fields/fields.hpp"
#include "model/fields/point_fields.hpp"

// One job, many frequencies: results depend on neither the threads nor what was computed before.

namespace field_job_test {

using namespace ampturn::model::fields;
using namespace ampturn::model::ground;

LayeredEarth two_layers() {
    return LayeredEarth({{.resistivity_ohm_m = 40, .thickness_m = 20, .relative_permittivity = 15},
                         {.resistivity_ohm_m = 3000, .relative_permittivity = 6}});
}

FieldJob mixed_job() {
    std::vector<Receiver> receivers;
    for (int i = 0; i < 40; ++i) receivers.push_back({12.0 + 7 * i * i, 3.0 * i, i % 5 == 0 ? -1.0 : 0.0});
    return FieldJob(
        {Dipole{.moment_a_m2 = {1, 0.5, 0}, .height_m = 2}, Dipole{.moment_a_m2 = {0, 0.5, 1}, .height_m = 2},
         Loop{.vertices_xyz_m = {{-3, 0, -1}, {3, 0, -1}, {3, 0, -7}, {-3, 0, -7}}}},
        receivers);
}

using Results = std::vector<FieldResult>;

Results computed(const FieldJob& job, double frequency_hz, Wavenumbers wavenumbers) {
    Results results(job.source_count() * job.receiver_count());
    job.compute(two_layers(), frequency_hz, {.wavenumbers = wavenumbers, .tolerance_rel = 1e-7}, results);
    return results;
}

bool same_bits(const Results& a, const Results& b) {
    for (std::size_t i = 0; i < a.size(); ++i)
        if (std::memcmp(&a[i].fields, &b[i].fields, sizeof(Fields)) != 0 ||
            a[i].e_error_v_per_m != b[i].e_error_v_per_m || a[i].h_error_a_per_m != b[i].h_error_a_per_m ||
            a[i].integration != b[i].integration || a[i].dipoles != b[i].dipoles)
            return false;
    return a.size() == b.size();
}

const std::vector<double> frequencies_hz{3e5, 20, 4e3, 9e5, 150, 6e4};

TEST(FieldJob, ResultsDoNotDependOnThreads) {
    const FieldJob job = mixed_job();
    for (const Wavenumbers wavenumbers : {Wavenumbers::full, Wavenumbers::quasi_static}) {
        std::vector<Results> alone, together(frequencies_hz.size());
        for (const double f : frequencies_hz) alone.push_back(computed(mixed_job(), f, wavenumbers));
        {
            std::vector<std::jthread> pool;
            for (std::size_t i = 0; i < frequencies_hz.size(); ++i)
                pool.emplace_back([&, i] { together[i] = computed(job, frequencies_hz[i], wavenumbers); });
        }
        for (std::size_t i = 0; i < frequencies_hz.size(); ++i)
            EXPECT_TRUE(same_bits(alone[i], together[i])) << frequencies_hz[i];
    }
}

TEST(FieldJob, ResultsDoNotDependOnWhatWasComputedBefore) {
    const FieldJob job = mixed_job();
    const Results first = computed(job, 4e3, Wavenumbers::quasi_static);
    for (const double f : frequencies_hz) computed(job, f, Wavenumbers::full);
    EXPECT_TRUE(same_bits(first, computed(job, 4e3, Wavenumbers::quasi_static)));
}

TEST(FieldJob, LoopsAreThoseOfReceiversOneByOne) {
    // Law: together or alone, near (each with rules of its own) and far (in batches) of a tilted triangle and an upright square.
    std::vector<Receiver> receivers;
    for (int i = 0; i < 60; ++i)
        receivers.push_back(
            {(i % 2 == 0 ? 1 : -1) * (7 + 0.9 * i * i), 4.0 + 11 * (i % 7), i % 3 == 0 ? -2.0 : 0.0});
    const std::vector<Source> loops{
        Loop{.vertices_xyz_m = {{-3, 0, -1}, {3, 0, -1}, {3, 0, -7}, {-3, 0, -7}}, .turns = 5},
        Loop{.vertices_xyz_m = {{-2, -2, -3}, {3, -2, -3}, {0, 2, -5}}, .turns = 2, .current_a = -3}};
    for (const Wavenumbers wavenumbers : {Wavenumbers::full, Wavenumbers::quasi_static})
        for (const double tolerance : {1e-5, 1e-7}) {
            const FieldOptions options{.wavenumbers = wavenumbers, .tolerance_rel = tolerance};
            const auto together = fields_at(two_layers(), 2.7e4, loops, receivers, options);
            int rules = 0;
            for (std::size_t s = 0; s < loops.size(); ++s)
                for (std::size_t j = 0; j < receivers.size(); ++j) {
                    const FieldResult alone = field(two_layers(), 2.7e4, loops[s], receivers[j], options);
                    const FieldResult& x = together[s][j];
                    const Fields off = x.fields - alone.fields;
                    EXPECT_LE(e_size(off), 2 * tolerance * e_size(alone.fields)) << s << " " << j;
                    EXPECT_LE(h_size(off), 2 * tolerance * h_size(alone.fields)) << s << " " << j;
                    rules |= 1 << std::min(30, x.dipoles);
                }
            EXPECT_GT(__builtin_popcount(static_cast<unsigned>(rules)), 2)
                << "rules of several orders were taken";
        }
}

TEST(FieldJob, AgreesWithTheReferencePath) {
    // Several dipoles at a place, receivers at two heights, in no order. The tolerance asked for, and its share.
    const FieldJob job = mixed_job();
    for (const Wavenumbers wavenumbers : {Wavenumbers::full, Wavenumbers::quasi_static}) {
        const Results fast = computed(job, 4e3, wavenumbers);
        Results reference(fast.size());
        job.compute(two_layers(), 4e3, {.wavenumbers = wavenumbers, .reference = true}, reference);
        for (std::size_t i = 0; i < fast.size(); ++i) {
            const Fields &a = fast[i].fields, &b = reference[i].fields;
            const double e = std::max(std::abs(b.ex_v_per_m), std::abs(b.ey_v_per_m));
            const double h =
                std::max({std::abs(b.hx_a_per_m), std::abs(b.hy_a_per_m), std::abs(b.hz_a_per_m)});
            EXPECT_LE(std::abs(a.ex_v_per_m - b.ex_v_per_m), 1e-7 * e) << i;
            EXPECT_LE(std::abs(a.ey_v_per_m - b.ey_v_per_m), 1e-7 * e) << i;
            EXPECT_LE(std::abs(a.hx_a_per_m - b.hx_a_per_m), 1e-7 * h) << i;
            EXPECT_LE(std::abs(a.hy_a_per_m - b.hy_a_per_m), 1e-7 * h) << i;
            EXPECT_LE(std::abs(a.hz_a_per_m - b.hz_a_per_m), 1e-7 * h) << i;
        }
    }
}

TEST(FieldJob, CloseToALoopTheAirWaveIsTakenApart) {
    // Against the reference path, which has contours for each of hundreds of dipoles: upright, tilted and flat, before and beside.
    struct Row {
        Loop loop;
        Receiver receiver;
        Wavenumbers waves;
    };
    const Loop upright{.vertices_xyz_m = {{0, -2, -1}, {0, 2, -1}, {0, 2, -5}, {0, -2, -5}}, .turns = 3},
        tilted{.vertices_xyz_m = {{0, -2, -1}, {0, 2, -1}, {1.5, 2, -4}, {1.5, -2, -4}}, .turns = 2},
        flat{.vertices_xyz_m = {{-2, -2, -1}, {2, -2, -1}, {2, 2, -1}, {-2, 2, -1}}, .current_a = 4};
    for (const Row& row : {Row{upright, {1.0, 0.3, -2}, Wavenumbers::full},
                           Row{upright, {1.5, 2.9, 0}, Wavenumbers::quasi_static},
                           Row{tilted, {-2.0, 0.5, 0}, Wavenumbers::full},
                           Row{flat, {3.1, 0.4, 0}, Wavenumbers::quasi_static}}) {
        const FieldResult exact = field(two_layers(), 2e4, row.loop, row.receiver,
                                        {.wavenumbers = row.waves, .tolerance_rel = 1e-9, .reference = true});
        for (const double tolerance : {1e-5, 1e-7}) {
            const FieldResult fast = field(two_layers(), 2e4, row.loop, row.receiver,
                                           {.wavenumbers = row.waves, .tolerance_rel = tolerance});
            const Fields off = fast.fields - exact.fields;
            EXPECT_LE(e_size(off), tolerance * e_size(exact.fields)) << row.receiver.x_m;
            EXPECT_LE(h_size(off), tolerance * h_size(exact.fields)) << row.receiver.x_m;
            EXPECT_LE(fast.e_error_v_per_m, tolerance * e_size(exact.fields));
            EXPECT_LE(fast.h_error_a_per_m, tolerance * h_size(exact.fields));
        }
    }
}

TEST(FieldJob, TightTolerancesHoldWithoutContoursForEachOffset) {
    // Dipoles with many offsets at 1e-8 to 1e-10: against the reference path, and nearly all of them by shared contours.
    std::vector<Receiver> receivers;
    for (int i = 0; i < 80; ++i)
        receivers.push_back({25.0 * std::pow(100.0, i / 79.0), 4, i % 2 == 0 ? 0.0 : -1.0});
    const FieldJob job({Dipole{.moment_a_m2 = {1, 0.4, 0}, .height_m = 2},
                        Dipole{.moment_a_m2 = {0, 0.3, 1}, .height_m = 2}},
                       receivers);
    for (const Wavenumbers wavenumbers : {Wavenumbers::full, Wavenumbers::quasi_static})
        for (const double f : {300.0, 2e4, 4e5}) {
            Results reference(160), fast(160);
            job.compute(two_layers(), f,
                        {.wavenumbers = wavenumbers, .tolerance_rel = 1e-10, .reference = true}, reference);
            for (const double tolerance : {1e-8, 1e-9, 1e-10}) {
                job.compute(two_layers(), f, {.wavenumbers = wavenumbers, .tolerance_rel = tolerance}, fast);
                int shared = 0;
                for (std::size_t i = 0; i < fast.size(); ++i) {
                    const Fields off = fast[i].fields - reference[i].fields;
                    const double e = e_size(reference[i].fields), h = h_size(reference[i].fields);
                    EXPECT_LE(e_size(off), tolerance * e + reference[i].e_error_v_per_m) << f << " " << i;
                    EXPECT_LE(h_size(off), tolerance * h + reference[i].h_error_a_per_m) << f << " " << i;
                    shared += fast[i].integration == Integration::interpolated ||
                              fast[i].integration == Integration::filter;
                }
                EXPECT_GE(shared, 120) << f << " Hz to " << tolerance;
            }
        }
}

TEST(FieldJob, RefusesTooLittleRoom) {
    const FieldJob job = mixed_job();
    Results results(job.source_count() * job.receiver_count() - 1);
    EXPECT_THROW(job.compute(two_layers(), 100, {}, results), std::invalid_argument);
}

}  // namespace field_job_test
