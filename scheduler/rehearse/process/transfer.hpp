#pragma once

#include <complex>
#include <span>
#include <stdexcept>
#include <vector>

#include "model/ground/tensor.hpp"

namespace ampturn::rehearse::process {

/// What one independent piece of data (a record, or a record's share of a band) adds to the cross-spectra: E R*, H
/// R*, and, for residuals and coherence, E E*, E H*, H H*. R is the reference that is free of the noise of E and H:
/// the transmitter's own phase for lines, H itself where there is nothing better (plain least squares).
struct CrossSpectra {
    // Row i (x, y), column j (x, y; for a line: polarisation A, B).
    std::complex<double> er[2][2], hr[2][2], eh[2][2], hh[2][2];
    double ee[2]{};              // Ex Ex*, Ey Ey*
    std::complex<double> ex_ey;  // Ex Ey*
    int stratum = 0;             // pieces are exchangeable inside a stratum (polarisation) only
};

struct FitOptions {
    bool robust = true;
    double huber_sd = 1.5;       // residuals beyond this many standard deviations lose weight (Huber 1981)
    bool reject_extreme = true;  // last passes: the steep cut of Chave & Thomson (1989)
    int passes = 8;
};

struct TransferFit {
    model::ground::ImpedanceTensor impedance;
    model::ground::TensorVariance variance;  // E|dZ|^2 by delete-one jackknife
    double coherence2_x, coherence2_y;       // 1 - residual power / power, of Ex and of Ey
    double weight_x, weight_y;               // mean weight: 1 when nothing was turned down
    int pieces;
};

/// Why records give no tensor, or none with an error bar.
enum class NoTransfer {
    one_direction,   // <H R*> is singular: the magnetic fields do not span two directions
    too_few_records  // fewer than 2 pieces of a stratum
};
class NoTransferError : public std::domain_error {
  public:
    explicit NoTransferError(NoTransfer why) : std::domain_error("no transfer function"), why_(why) {}
    NoTransfer why() const { return why_; }

  private:
    NoTransfer why_;
};

/// Sums of neighbouring pieces of a stratum, so that at most `most` are left in each: the jackknife takes
/// each piece out in turn, and needs tens of them, not thousands.
std::vector<CrossSpectra> grouped(const std::vector<CrossSpectra>& pieces, std::size_t most);

/// The same pieces with H as the reference (plain least squares: noise of H makes |Z| too small) or E (noise
/// of E makes it too large). The truth lies between (Sims, Bostick & Smith 1971, Geophysics 36, 938).
std::vector<CrossSpectra> referenced_to_h(std::vector<CrossSpectra> pieces);
std::vector<CrossSpectra> referenced_to_e(std::vector<CrossSpectra> pieces);

/// Impedance tensor Z = <E R*> <H R*>^-1, each row by itself, with robust weights on the pieces and the
/// delete-one jackknife for the error bars (weights found anew each time; strata resampled one by one).
/// Weights: Huber (1981), Robust Statistics; Chave & Thomson (1989), J. Geophys. Res. 94, 14215; jackknife:
/// Thomson & Chave (1991), in Haykin (ed.), Advances in Spectrum Analysis (all from memory).
/// Throws NoTransferError.
TransferFit fit_transfer(std::span<const CrossSpectra> pieces, const FitOptions& options);

}  // namespace ampturn::rehearse::process
