#pragma once

#include <array>
#include <complex>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "model/ground/earth.hpp"

/// Fields of loop sources over a layered earth. x north, y east, z down, e^{+i omega t}, SI, peak values.
/// TE and TM modes; formulas and accuracy reached: docs/physics.md. Sources: Ward & Hohmann (1988), Wait
/// (1970, 1982), Sommerfeld (1949) for the deformed contour.
namespace ampturn::model::fields {

/// The squares of what less sends are lost below the smallest double: moments and currents.
inline constexpr double least_strength = 1e-60;

/// Point magnetic dipole in air at (x_m, y_m, -height_m); height [0, 1000] m, 0 is the limit from above.
struct Dipole {
    std::array<double, 3> moment_a_m2;  // x, y, z; the largest 1e-60 to 1e12
    double height_m = 0;
    double x_m = 0, y_m = 0;
};

/// Plane closed polygon of thin wire in air, uniform current; 3 to 64 vertices in the order of the current,
/// all with z <= 0. Moment by the right-hand rule. The polygon may be upright, flat or tilted, convex or not.
struct Loop {
    std::vector<std::array<double, 3>> vertices_xyz_m;
    double turns = 1;      // (0, 1e4]
    double current_a = 1;  // 0, or 1e-60 to 1e6 in size
};

using Source = std::variant<Dipole, Loop>;

/// z_m = 0: just above the surface; z_m < 0: in air, down to -1000 m. Horizontal distance to a dipole 1 m to
/// 20 km; for a loop that to its centroid, and at least 0.5 m from the wire; not inside the loop.
struct Receiver {
    double x_m, y_m, z_m = 0;
};

struct Fields {
    std::complex<double> ex_v_per_m, ey_v_per_m, hx_a_per_m, hy_a_per_m, hz_a_per_m;
};

/// How a result was integrated over wavenumber.
enum class Integration : std::uint8_t {
    interpolated,  // contour integrals shared by a band of offsets, interpolated in offset
    filter,        // digital filter (quasi-static)
    contour,       // deformed contour for this very offset
    real_axis      // partition along the real axis with series acceleration
};
/// What the source was taken for.
enum class SourceModel : std::uint8_t {
    dipole,         // one point dipole (a loop: at its centroid, with its whole moment)
    dipole_area,    // point dipoles over the loop's area, Gauss quadrature
    dipole_columns  // upright columns of dipoles over the loop's area, Gauss quadrature across them
};

struct FieldResult {
    Fields fields;
    double e_error_v_per_m;  // estimate of the error of the vector (Ex, Ey): largest component
    double h_error_a_per_m;  // the same for (Hx, Hy, Hz)
    Integration integration;
    SourceModel source_model;
    int dipoles;  // point dipoles, or columns of them, that the source was made of
};

/// The method in words, e.g. "deformed contour; 8 x 8 dipoles over the loop".
std::string method_text(const FieldResult& result);

struct FieldOptions {
    ground::Wavenumbers wavenumbers = ground::Wavenumbers::full;
    /// Error allowed, relative to the largest component of E and of H; [1e-10, 1e-3]. Where a fast way cannot
    /// hold it the next slower one is taken, and the result says so.
    double tolerance_rel = 1e-8;
    /// Reference: every offset by its own contours, two unlike ones compared; slow.
    bool reference = false;
};

/// Whether the engine takes a source with these receivers: RangeError as of FieldJob otherwise.
void check_field_job(const Source& source, std::span<const Receiver> receivers);

/// Sources and receivers, checked and made ready once for any number of frequencies and grounds. Sources
/// share the work that does not depend on them, so two loops at a place cost hardly more than one.
class FieldJob {
  public:
    /// RangeError "dipole.height_m", "loop.turns", "receiver.offset_m" and the like; the index is that of the
    /// receiver, or of the loop's vertex.
    FieldJob(std::vector<Source> sources, std::vector<Receiver> receivers);
    ~FieldJob();

    std::size_t source_count() const;
    std::size_t receiver_count() const;

    /// Writes results[source * receiver_count() + receiver]. frequency_hz [1, 1e6]. Several threads may
    /// compute different frequencies with one job; a result depends on its own arguments alone.
    /// RangeError "frequency_hz" or "tolerance_rel". Never a NaN: std::runtime_error when no method
    /// reaches 1e-3.
    void compute(const ground::LayeredEarth& earth, double frequency_hz, const FieldOptions& options,
                 std::span<FieldResult> results) const;

  private:
    struct Prepared;
    std::unique_ptr<Prepared> prepared_;
};

/// One frequency: result[source][receiver].
std::vector<std::vector<FieldResult>> fields_at(const ground::LayeredEarth& earth, double frequency_hz,
                                                std::span<const Source> sources,
                                                std::span<const Receiver> receivers,
                                                const FieldOptions& options = {});

/// One source, one receiver.
FieldResult field(const ground::LayeredEarth& earth, double frequency_hz, const Source& source,
                  const Receiver& receiver, const FieldOptions& options = {});

}  // namespace ampturn::model::fields
