#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

#include "model/base/constants.hpp"
#include "model/fields/fields.hpp"

/// Random grounds, dipoles and offsets over the whole range of the field engine, the same on every machine.
namespace ampturn::test {

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

inline model::ground::LayeredEarth random_earth(Random& random) {
    const int count = random.chance(0.1) ? 64 : 1 + static_cast<int>(random.uniform(0, 7));
    std::vector<model::ground::Layer> layers;
    for (int i = 0; i < count; ++i) {
        model::ground::Layer layer{.resistivity_ohm_m = random.log_uniform(1e-3, 1e6),
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
    return model::ground::LayeredEarth(layers);
}

/// One frequency, one dipole, twelve offsets of a random stretch of 1 m to 20 km.
struct RandomCase {
    model::ground::LayeredEarth earth;
    double frequency_hz;
    model::ground::Wavenumbers wavenumbers;
    model::fields::Dipole dipole;
    std::vector<model::fields::Receiver> receivers;
};

inline RandomCase random_case(Random& random) {
    RandomCase c{.earth = random_earth(random),
                 .frequency_hz = random.log_uniform(1, 1e6),
                 .wavenumbers = random.chance(0.6) ? model::ground::Wavenumbers::full
                                                   : model::ground::Wavenumbers::quasi_static,
                 .dipole = {.moment_a_m2 = {random.uniform(-1, 1), random.uniform(-1, 1), 0}},
                 .receivers = {}};
    if (random.chance(0.3)) c.dipole.moment_a_m2[2] = random.uniform(-1, 1) + 1e-3;
    if (random.chance(0.7)) c.dipole.height_m = random.log_uniform(0.1, 30);
    const double z_m = random.chance(0.7) ? 0 : -random.log_uniform(0.1, 30);
    const double azimuth = random.uniform(0, 2 * model::pi);
    const double from = random.log_uniform(1, 1e4), to = from * random.uniform(1.05, 2e4 / from);
    for (int i = 0; i < 12; ++i) {
        const double r = std::clamp(random.log_uniform(from, to), 1.001, 1.999e4);
        c.receivers.push_back({r * std::cos(azimuth), r * std::sin(azimuth), z_m});
    }
    return c;
}

}  // namespace ampturn::test
