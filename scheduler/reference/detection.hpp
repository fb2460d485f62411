#pragma once

/// Statistics of a sinusoid detected coherently in noise, of a ratio of two such (an impedance), and the loss
/// when source and receiver clocks differ. One-sided power spectral densities, peak amplitudes.
namespace ampturn::reference {

/// Detection for duration_s in one-sided density psd (unit^2/Hz) with a window of enbw_bins: sigma of each quadrature
/// = sqrt(S ENBW/T), SNR = A^2 T/(2 S ENBW) (power). Small-error forms for phase and amplitude.
struct CoherentDetection {
    double enbw_hz;
    double sigma_quadrature;
    double snr_power;
    double phase_sigma_rad;
    double relative_amplitude_sigma;
};
CoherentDetection coherent_detection(double amplitude_peak, double psd_one_sided, double duration_s,
                                     double enbw_bins);

/// Z = E/H with independent circular complex errors; records averages against the source. First order:
/// sigma|Z|/|Z| = sigma_phase = sqrt((1/SNR_E + 1/SNR_H)/(2 N)), twice that for apparent resistivity. Exact,
/// for amplitudes averaged over N records, whose signal-to-noise is N times that of one: E[Zhat]/Z = 1 - exp(-N SNR_H);
/// E ln|Zhat/Z| = (E1(N SNR_E) - E1(N SNR_H))/2. Plain cross-spectra of records are low by 1/(1 + 1/SNR_H) however many.
struct ImpedanceError {
    double relative_sigma;
    double phase_sigma_rad;
    double relative_resistivity_sigma;
    double mean_ratio;
    double mean_ln_bias;
    double cross_spectral_factor;
};
ImpedanceError impedance_error(double snr_e_power, double snr_h_power, double records);

/// Amplitude kept when the receiver assumes a frequency that is off by a relative error, for duration_s.
struct ClockOffsetLoss {
    double slip_cycles;
    double amplitude_rectangular;
    double amplitude_hann;
    double
        start_referenced_phase_rad;  ///< pi times the slipped cycles, unwrapped; referenced to the middle: 0
};
ClockOffsetLoss clock_offset_loss(double frequency_hz, double duration_s, double relative_clock_error);

}  // namespace ampturn::reference
