#pragma once

#include <array>
#include <complex>
#include <span>
#include <vector>

#include "scheduler/plan/plan.hpp"

namespace ampturn::rehearse::process {

/// The channels of one record, time domain; V/m and A/m.
struct RecordView {
    std::span<const double> ex, ey, hx, hy;
};

/// w[0] .. w[record_length - 1] of a plan's window.
std::vector<double> window_weights(plan::Window window, std::size_t record_length);

/// Complex peak amplitude of a line of known frequency in one record,
///
///     a = 2/(N cg) sum_n w[n] x[n] e^{-i omega t_n},  t_n = start + n/rate,
///
/// at the frequency itself, whether or not it falls on a bin of the record. In noise of one-sided density S
/// the error has E|n|^2 = 2 S b/T, b the window's noise bandwidth in bins, T the record's length.
class LineDetector {
  public:
    /// weights: the window's, as many as a record has samples. 0 < frequency_hz < sample_rate_hz/2, 2 weights or more;
    /// else std::invalid_argument.
    LineDetector(double frequency_hz, double sample_rate_hz, std::span<const double> weights);

    /// What samples of a record from sample `first` on add to its amplitude, before its phase is turned by turn(start_s).
    std::complex<double> part(std::span<const double> samples, std::size_t first) const;
    std::complex<double> turn(double start_s) const;
    /// Of a record of record_length samples, its first at start_s; of its channels one by one.
    std::complex<double> amplitude(std::span<const double> record, double start_s) const;
    std::array<std::complex<double>, 4> amplitudes(const RecordView& record, double start_s) const;
    std::size_t record_length() const { return cosine_.size(); }
    double frequency_hz() const { return frequency_hz_; }

  private:
    double frequency_hz_;
    std::vector<double> cosine_, sine_;  // 2 w/(N cg) times cos and sin
};

/// What one record says about a line.
struct LineRecord {
    double middle_s = 0;  // time of its middle
    std::complex<double> ex, ey, hx, hy;
};

/// The lines of one polarisation at one frequency, record by record.
using LineRecords = std::vector<LineRecord>;

/// Relative clock error of receiver against transmitter from the turning of the lines' phases: the value that
/// makes the records of each polarisation add up best,
///
///     max over e of sum_p sum_c |sum_k X_kc e^{-i 2 pi f_p e t_k}|^2 / (K_p sum_k |X_kc|^2)
///
/// searched on a grid over +-limit and refined by a parabola. Positive: the line is seen too high.
struct TimedLines {
    double frequency_hz;
    const LineRecords* records;
};
double clock_error_from_lines(std::span<const TimedLines> lines, double limit);

/// Turns the phases back by a clock error, in place.
void undo_clock_error(LineRecords& records, double frequency_hz, double clock_error);

}  // namespace ampturn::rehearse::process
