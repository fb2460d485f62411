#pragma once

#include <complex>
#include <cstddef>
#include <memory>
#include <span>
#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/rehearse/process/line.hpp"
#include "scheduler/rehearse/process/transfer.hpp"

namespace ampturn::rehearse::process {

/// Cross-spectra of two polarisations at a line. Reference: which loop sends (known), so that noise of H does
/// not pull the impedance down as plain least squares does (by 1/(1 + 1/SNR_H)).
std::vector<CrossSpectra> line_cross_spectra(const LineRecords& a, const LineRecords& b);

/// A band of the natural field beside a line: bins from low to high without those near a line, a harmonic of
/// it or a harmonic of the mains.
struct NaturalBand {
    double low_hz, high_hz, centre_hz;
    std::vector<std::size_t> bins;
};
struct BandRequest {
    double sample_rate_hz;
    std::size_t record_length;
    plan::Window window;
    double line_hz;
    double low_hz, high_hz;
    double mains_hz;  // 0: none
    bool weak_grid;
    int mains_orders;
};
/// Every second free bin (neighbours share noise through the window). May be empty.
NaturalBand natural_band(const BandRequest& request);

/// Running spectra of the records of one step: the cross-spectra of each natural band, record by record, and, where
/// asked for, the mean power density of each channel.
class StepSpectra {
  public:
    enum class Keep { bands_only, densities };
    /// weights: the window's, as many as a record has samples.
    StepSpectra(double sample_rate_hz, std::vector<double> weights, std::vector<NaturalBand> bands,
                Keep keep);
    ~StepSpectra();
    StepSpectra(StepSpectra&&) noexcept;

    void add(const RecordView& record);

    /// One-sided mean power density, unit^2/Hz, bins 0 .. N/2; order ex, ey, hx, hy. Needs one record, and
    /// Keep::densities, else std::logic_error.
    std::vector<double> density(int channel) const;
    std::size_t records() const { return records_; }
    const std::vector<NaturalBand>& bands() const { return bands_; }
    /// One piece a record; without a reference yet, see referenced_to_h().
    const std::vector<CrossSpectra>& band_pieces(std::size_t band) const { return pieces_[band]; }

  private:
    struct Work;
    double sample_rate_hz_;
    std::vector<double> weights_;
    double density_scale_ = 0;
    std::vector<NaturalBand> bands_;
    std::vector<std::vector<CrossSpectra>> pieces_;
    std::vector<double> power_[4];
    std::size_t records_ = 0;
    std::unique_ptr<Work> work_;
};

}  // namespace ampturn::rehearse::process
