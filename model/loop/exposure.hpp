#pragma once

#include <optional>
#include <span>
#include <vector>

#include "model/loop/loop.hpp"

/// Magnetic field near a loop and distances to reference levels. A planning aid: local law and the responsible person decide; no distance is
/// given for wearers of implants, who keep away. Flux densities are rms.
namespace ampturn::model::loop {

enum class ExposureGroup { general_public, occupational };

/// Reference level of ICNIRP 2010 (Guidelines 1 Hz - 100 kHz, Health Physics 99:818-836) in tesla rms, 1 Hz <=
/// frequency_hz <= 10 MHz (NaN outside); at a band edge the upper band holds. Read in a handbook that reprints its tables
/// (tests/reference/facts).
double icnirp2010_level_t(ExposureGroup group, double frequency_hz);

/// Which levels count. Sources: tests/reference/facts.
struct ExposureLevels {
    enum class Set {
        /// ICNIRP 2010, and from 100 kHz on in addition ICNIRP 2020 (Health Physics 118:483-524), local exposure of six
        /// minutes, 4.9/f_MHz A/m for the public and 10.8/f_MHz A/m at work: the tighter. Its whole-body levels were not read.
        icnirp,
        /// Public 1999/519/EC (numbers of ICNIRP 1998; 50 Hz and from 100 kHz on read, the rest from memory); at work
        /// 2013/35/EU, which rests on ICNIRP 2010, with the addition above.
        eu,
        own,         // the two levels given, at every frequency
        icnirp_2010  // by itself, for cases of others
    };
    Set set = Set::icnirp;
    double own_public_t = 0, own_occupational_t = 0;
};
/// Range as icnirp2010_level_t.
double exposure_level_t(const ExposureLevels& levels, ExposureGroup group, double frequency_hz);

/// Field of a closed polygon of filaments carrying rms ampere-turns, Biot-Savart closed form per side.
LoopPoint polygon_field_t(std::span<const LoopPoint> vertices, double ampere_turns_rms, const LoopPoint& at);
double polygon_field_magnitude_t(std::span<const LoopPoint> vertices, double ampere_turns_rms,
                                 const LoopPoint& at);

/// Distances at which |B| equals a level, for a plane loop. Side: outward in the plane from the middle of a
/// side, measured from the wire. Inside: inward towards the centre, nullopt when the whole way is above the
/// level. Axis: from the centre along the normal, 0 when the axis is below the level.
struct LevelDistances {
    double axis_m;
    double side_m;
    std::optional<double> inside_m;
};
/// side_index picks the side (vertex i to i + 1). level_t_per_ampere_turn = level / (N I), 1e-18 to 1e12: RangeError.
LevelDistances level_distances(std::span<const LoopPoint> vertices, std::size_t side_index,
                               double level_t_per_ampere_turn);

/// One spectral line of the loop's current.
struct CurrentLine {
    double frequency_hz;
    double rms_a;
};
/// Sum over lines of I_n/B_ref(f_n), [A/T]: the field index at a point is this times |B| per ampere (the
/// guideline's amplitude sum, 1 Hz - 10 MHz, from memory; stricter than the weighted peak that the law for workers asks for,
/// and than the sum of squares of levels above 100 kHz). Lines outside the range are left out.
double exposure_sum_a_per_t(const ExposureLevels& levels, ExposureGroup group,
                            std::span<const CurrentLine> lines);

/// Largest distance from any wire of the loop at which the level is still reached, outside in the plane,
/// inside, and on the axis: the keep-out distance, over every side.
double keep_out_distance_m(std::span<const LoopPoint> vertices, double level_t_per_ampere_turn);

}  // namespace ampturn::model::loop
