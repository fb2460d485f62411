#include "scheduler/rehearse/process/transfer.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

namespace ampturn::rehearse::process {
namespace {

using Complex = std::complex<double>;
using Row = std::array<Complex, 2>;  // one row of Z

struct Sums {
    Row er{};
    Complex hr[2][2]{};

    void add(const CrossSpectra& piece, int row, double weight) {
        for (std::size_t j = 0; j < 2; ++j) {
            er[j] += weight * piece.er[row][j];
            for (int i = 0; i < 2; ++i) hr[i][j] += weight * piece.hr[i][j];
        }
    }
    /// Row of Z from row = er * hr^-1.
    Row solve() const {
        const Complex determinant = hr[0][0] * hr[1][1] - hr[0][1] * hr[1][0];
        double scale = 0;
        for (const auto& h : hr) scale += std::norm(h[0]) + std::norm(h[1]);
        if (!(std::abs(determinant) > 1e-12 * scale)) throw NoTransferError(NoTransfer::one_direction);
        return {(er[0] * hr[1][1] - er[1] * hr[1][0]) / determinant,
                (er[1] * hr[0][0] - er[0] * hr[0][1]) / determinant};
    }
};

double residual_power(const CrossSpectra& piece, int row, const Row& z) {
    double power = piece.ee[row];
    for (std::size_t j = 0; j < 2; ++j) {
        power -= 2 * std::real(std::conj(z[j]) * piece.eh[row][j]);
        for (std::size_t k = 0; k < 2; ++k) power += std::real(z[j] * piece.hh[j][k] * std::conj(z[k]));
    }
    return std::max(0.0, power);
}

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

/// Residuals r with mean square `scale2`: r^2 is exponential for circular Gaussian noise, so that of N the
/// largest stands near sqrt(ln N); the steep cut begins where one in ten data sets has a residual.
double weight_of(double residual2, double scale2, const FitOptions& options, bool extreme, double pieces) {
    const double x = std::sqrt(residual2 / scale2);
    const double huber = x <= options.huber_sd ? 1 : options.huber_sd / x;
    if (!extreme) return huber;
    const double edge = std::sqrt(std::log(10 * pieces));
    return huber * std::exp(std::exp(-edge * edge) - std::exp(edge * (x - edge)));
}

constexpr std::size_t none_left_out = SIZE_MAX;

struct RowFit {
    Row z{};
    std::vector<double> weights;
    double scale2 = 0;  // mean square of the residuals, from their median
};

/// Weighted fit of all pieces but one. `start`: the fit of all of them, to begin from and to take the scale
/// of the residuals from (a scale found anew from the median would make the jackknife's bars some 5 % too long).
RowFit fit_without(std::span<const CrossSpectra> pieces, int row, std::size_t left_out,
                   const FitOptions& options, const RowFit* start) {
    RowFit fit;
    fit.weights.assign(pieces.size(), 1.0);
    if (left_out != none_left_out) fit.weights[left_out] = 0;
    const auto solve = [&] {
        Sums sums;
        for (std::size_t k = 0; k < pieces.size(); ++k)
            if (k != left_out) sums.add(pieces[k], row, fit.weights[k]);
        fit.z = sums.solve();
    };
    if (start != nullptr)
        fit.z = start->z;
    else
        solve();
    if (!options.robust) {
        solve();
        return fit;
    }
    std::vector<double> residuals(pieces.size()), ranked;
    for (int pass = start != nullptr ? std::max(0, options.passes - 4) : 0; pass < options.passes; ++pass) {
        ranked.clear();
        for (std::size_t k = 0; k < pieces.size(); ++k) {
            if (k == left_out) continue;
            residuals[k] = residual_power(pieces[k], row, fit.z);
            ranked.push_back(residuals[k]);
        }
        const auto count = static_cast<double>(ranked.size());
        fit.scale2 = start != nullptr ? start->scale2 : median(ranked) / std::log(2.0);
        if (!(fit.scale2 > 0)) break;  // noise-free data: nothing to turn down
        const bool extreme = options.reject_extreme && pass >= options.passes - 2;
        for (std::size_t k = 0; k < pieces.size(); ++k)
            if (k != left_out) fit.weights[k] = weight_of(residuals[k], fit.scale2, options, extreme, count);
        solve();
    }
    return fit;
}

struct RowResult {
    Row z{};
    std::array<double, 2> variance{};
    double coherence2 = 0, weight = 0;
};

RowResult fit_row(std::span<const CrossSpectra> pieces, int row, int strata, const FitOptions& options) {
    const RowFit whole = fit_without(pieces, row, none_left_out, options, nullptr);
    RowResult result{.z = whole.z};
    double residual_sum = 0, power_sum = 0, weight_sum = 0;
    for (std::size_t k = 0; k < pieces.size(); ++k) {
        residual_sum += whole.weights[k] * residual_power(pieces[k], row, whole.z);
        power_sum += whole.weights[k] * pieces[k].ee[row];
        weight_sum += whole.weights[k];
    }
    result.coherence2 = power_sum > 0 ? std::clamp(1 - residual_sum / power_sum, 0.0, 1.0) : 0;
    result.weight = weight_sum / static_cast<double>(pieces.size());

    for (int stratum = 0; stratum < strata; ++stratum) {
        std::vector<Row> without;
        for (std::size_t k = 0; k < pieces.size(); ++k)
            if (pieces[k].stratum == stratum)
                without.push_back(fit_without(pieces, row, k, options, &whole).z);
        const auto count = static_cast<double>(without.size());
        if (count < 2) throw NoTransferError(NoTransfer::too_few_records);
        for (std::size_t j = 0; j < 2; ++j) {
            Complex mean = 0;
            double squares = 0;
            for (const Row& z : without) mean += z[j] / count;
            for (const Row& z : without) squares += std::norm(z[j] - mean);
            result.variance[j] += (count - 1) / count * squares;
        }
    }
    return result;
}

}  // namespace

std::vector<CrossSpectra> grouped(const std::vector<CrossSpectra>& pieces, std::size_t most) {
    std::vector<CrossSpectra> groups;
    int strata = 0;
    for (const CrossSpectra& piece : pieces) strata = std::max(strata, piece.stratum + 1);
    for (int stratum = 0; stratum < strata; ++stratum) {
        std::vector<const CrossSpectra*> own;
        for (const CrossSpectra& piece : pieces)
            if (piece.stratum == stratum) own.push_back(&piece);
        const std::size_t count = std::min(most, own.size());
        for (std::size_t g = 0; g < count; ++g) {
            CrossSpectra sum{};
            sum.stratum = stratum;
            for (std::size_t k = g * own.size() / count; k < (g + 1) * own.size() / count; ++k) {
                for (int i = 0; i < 2; ++i) {
                    sum.ee[i] += own[k]->ee[i];
                    for (int j = 0; j < 2; ++j) {
                        sum.er[i][j] += own[k]->er[i][j];
                        sum.hr[i][j] += own[k]->hr[i][j];
                        sum.eh[i][j] += own[k]->eh[i][j];
                        sum.hh[i][j] += own[k]->hh[i][j];
                    }
                }
                sum.ex_ey += own[k]->ex_ey;
            }
            groups.push_back(sum);
        }
    }
    return groups;
}

std::vector<CrossSpectra> referenced_to_h(std::vector<CrossSpectra> pieces) {
    for (CrossSpectra& piece : pieces)
        for (int i = 0; i < 2; ++i)
            for (int j = 0; j < 2; ++j) {
                piece.er[i][j] = piece.eh[i][j];
                piece.hr[i][j] = piece.hh[i][j];
            }
    return pieces;
}

std::vector<CrossSpectra> referenced_to_e(std::vector<CrossSpectra> pieces) {
    for (CrossSpectra& piece : pieces) {
        for (int i = 0; i < 2; ++i)
            for (int j = 0; j < 2; ++j) piece.hr[i][j] = std::conj(piece.eh[j][i]);
        piece.er[0][0] = piece.ee[0];
        piece.er[1][1] = piece.ee[1];
        piece.er[0][1] = piece.ex_ey;
        piece.er[1][0] = std::conj(piece.ex_ey);
    }
    return pieces;
}

TransferFit fit_transfer(std::span<const CrossSpectra> pieces, const FitOptions& options) {
    int strata = 1;
    for (const CrossSpectra& piece : pieces) strata = std::max(strata, piece.stratum + 1);
    const RowResult x = fit_row(pieces, 0, strata, options), y = fit_row(pieces, 1, strata, options);
    return {.impedance = {.xx_ohm = x.z[0], .xy_ohm = x.z[1], .yx_ohm = y.z[0], .yy_ohm = y.z[1]},
            .variance = {.xx = x.variance[0], .xy = x.variance[1], .yx = y.variance[0], .yy = y.variance[1]},
            .coherence2_x = x.coherence2,
            .coherence2_y = y.coherence2,
            .weight_x = x.weight,
            .weight_y = y.weight,
            .pieces = static_cast<int>(pieces.size())};
}

}  // namespace ampturn::rehearse::process
