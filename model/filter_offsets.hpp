#pragma once

#include <array>
#include <map>
#include <memory>
#include <optional>
#include <tuple>

#include "model/dipole_integrals.hpp"

namespace ampturn::model {

/// Quasi-static integrals by a digital filter, lagged: kernels on one log-spaced set of wavenumbers, the
/// filter moved along it gives the integrals on a log-spaced set of offsets, and ten of those around an
/// offset the value there. Horizontal dipoles only. A contour at both ends and in the middle of the range
/// gives the error estimate.
///
/// Serves one ground and frequency and one thread.
class FilterOffsets {
  public:
    /// Offsets asked for will lie in [nearest_m, farthest_m].
    FilterOffsets(const LayerKernels& kernels, double tolerance_rel, double nearest_m, double farthest_m);
    ~FilterOffsets();

    /// Empty outside the range, where heights matter at the near end, and where the check missed the
    /// tolerance.
    std::optional<IntegralsWithRounding> at(const Placement& place);

  private:
    struct Table;
    const Table& table_of(double source_height_m, double receiver_height_m);
    void fill(Table& table, double source_height_m, double receiver_height_m);
    bool is_split(std::size_t half, int i) const;
    void fill_row(Table& table, int i, std::size_t half, double source_height_m, double receiver_height_m);
    void check(Table& table, double source_height_m, double receiver_height_m);
    void evaluate_kernels();

    const LayerKernels& kernels_;
    double tolerance_rel_, nearest_m_, farthest_m_;
    int first_ = 0, count_ = 0;  // offsets e^{spacing (first + i)} and half a spacing above each
    struct Comb {
        ComplexArray lambda;
        SurfaceResponse response;
    };
    std::array<Comb, 2> combs_;  // wavenumbers for the offsets on the spacing, and for those between
    TermArrays terms_;
    bool any_split_ = false;  // of the comb being filled
    std::map<std::tuple<double, double>, std::unique_ptr<Table>> tables_;
    std::tuple<double, double> last_key_{-1, -1};
    const Table* last_ = nullptr;
};

}  // namespace ampturn::model
