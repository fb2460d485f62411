// Prints every bit of fields over random grounds, to compare builds for different vector instructions.
//
//     field_bits CASES

#include <cstdio>
#include <cstdlib>
#include <vector>

#include "model/fields/fields.hpp"
#include "tests/model/fields/random_case.hpp"

int main(int argc, char** argv) {
    using namespace ampturn::model::fields;
    ampturn::test::Random random(5);
    const long cases = argc > 1 ? std::atol(argv[1]) : 20;
    for (long i = 0; i < cases; ++i) {
        const auto c = ampturn::test::random_case(random);
        const Loop loop{.vertices_xyz_m = {{-5, 0, -1}, {5, 0, -1}, {5, 0, -6}, {0, 0, -9}, {-5, 0, -6}}};
        const Loop rectangle{.vertices_xyz_m = {{-5, 0, -1}, {5, 0, -1}, {5, 0, -4}, {-5, 0, -4}}};
        const std::vector<Source> sources{c.dipole, loop, rectangle};
        // The loop's offsets start beyond its wire.
        std::vector<Receiver> receivers;
        for (Receiver r : c.receivers) {
            r.x_m += r.x_m < 0 ? -7 : 7;
            if (i % 2 == 0) r.z_m = 0;  // the rectangle in columns
            receivers.push_back(r);
        }
        for (const auto& row : fields_at(c.earth, c.frequency_hz, sources, receivers,
                                         {.wavenumbers = c.wavenumbers, .tolerance_rel = 1e-6}))
            for (const FieldResult& x : row)
                std::printf(
                    "%a %a %a %a %a %a %a %a %a %a %a %a %d %d\n", x.fields.ex_v_per_m.real(),
                    x.fields.ex_v_per_m.imag(), x.fields.ey_v_per_m.real(), x.fields.ey_v_per_m.imag(),
                    x.fields.hx_a_per_m.real(), x.fields.hx_a_per_m.imag(), x.fields.hy_a_per_m.real(),
                    x.fields.hy_a_per_m.imag(), x.fields.hz_a_per_m.real(), x.fields.hz_a_per_m.imag(),
                    x.e_error_v_per_m, x.h_error_a_per_m, static_cast<int>(x.integration), x.dipoles);
    }
}
