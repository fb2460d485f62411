#include <cmath>

#include "model/base/check_range.hpp"
#include "model/base/constants.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/reference/detection.hpp"
#include "scheduler/reference/reference_case_runners.hpp"
#include "scheduler/reference/window_shape.hpp"

namespace ampturn::reference {

namespace {

using nlohmann::json;

WindowShape window_of(const json& in) {
    if (in.contains("cosine_coefficients") && !in.at("cosine_coefficients").is_null()) {
        const auto coefficients = in.at("cosine_coefficients").get<std::vector<double>>();
        if (coefficients.empty())
            throw base::InputError({{}, {}, "cosine_coefficients", "an empty list", "at least one number"});
        return {WindowShape::Kind::cosine_sum, coefficients, 0};
    }
    const std::string name = in.at("window").get<std::string>();
    const auto window = window_by_name(name);
    if (!window) unknown_word("window", name, "the name of a window");
    return *window;
}

CaseOutputs window(const json& in, const json& expected) {
    const WindowShape w = window_of(in);
    const WindowFigures figures = window_figures(w);
    json finite = json::array();
    for (const json& row : expected.value("finite", json::array())) {
        const int n = whole_input(row, "N");
        model::check_range(n, "N", 2, 1e6);
        const std::string form = row.at("form").get<std::string>();
        const WindowFigures f = window_figures(w, n, form == "periodic");
        finite.push_back({{"N", n},
                          {"form", form},
                          {"coherent_gain", f.coherent_gain},
                          {"enbw_bins", f.enbw_bins},
                          {"scalloping_loss_dB", f.scalloping_db}});
    }
    return {json{{"coherent_gain", figures.coherent_gain},
                 {"enbw_bins", figures.enbw_bins},
                 {"scalloping_loss_dB", figures.scalloping_db},
                 {"worst_case_processing_loss_dB", figures.worst_case_loss_db()},
                 {"finite", finite}},
            {}};
}

CaseOutputs coherent_detection_case(const json& in, const json&) {
    const double enbw = window_figures(window_of(in)).enbw_bins;
    const CoherentDetection d =
        coherent_detection(in.at("amplitude_peak").get<double>(), in.at("psd_one_sided_per_Hz").get<double>(),
                           in.at("duration_s").get<double>(), enbw);
    return {json{{"enbw_bins", enbw},
                 {"enbw_Hz", d.enbw_hz},
                 {"sigma_quadrature", d.sigma_quadrature},
                 {"snr_power", d.snr_power},
                 {"snr_dB", 10 * std::log10(d.snr_power)},
                 {"phase_sigma_mrad", 1000 * d.phase_sigma_rad},
                 {"relative_amplitude_sigma", d.relative_amplitude_sigma}},
            {}};
}

CaseOutputs impedance_error_case(const json& in, const json&) {
    const ImpedanceError e =
        impedance_error(in.at("snr_E_power").get<double>(), in.at("snr_H_power").get<double>(),
                        number_or(in, "independent_records", 1));
    return {json{{"relative_abs_Z_sigma", e.relative_sigma},
                 {"phase_sigma_deg", e.phase_sigma_rad * 180 / model::pi},
                 {"relative_rho_a_sigma", e.relative_resistivity_sigma},
                 {"rho_a_sigma_percent", 100 * e.relative_resistivity_sigma},
                 {"mean_Zhat_over_Z", e.mean_ratio},
                 {"mean_ln_absZ_bias", e.mean_ln_bias},
                 {"cross_spectral_EH_HH_bias_factor", e.cross_spectral_factor}},
            {{"mean_ln_absZ_bias", 1.0}}};
}

CaseOutputs clock_offset_loss_case(const json& in, const json&) {
    const ClockOffsetLoss c =
        clock_offset_loss(in.at("frequency_Hz").get<double>(), in.at("duration_s").get<double>(),
                          in.at("relative_clock_error_ppm").get<double>() * 1e-6);
    return {json{{"slip_cycles", c.slip_cycles},
                 {"amplitude_factor_rectangular", c.amplitude_rectangular},
                 {"amplitude_factor_hann", c.amplitude_hann},
                 {"start_referenced_phase_error_deg", c.start_referenced_phase_rad * 180 / model::pi}},
            {{"amplitude_factor_rectangular", 1.0}, {"amplitude_factor_hann", 1.0}}};
}

}  // namespace

void add_signal_runners(CaseRunners& runners) {
    runners["window"] = {.compute = window};
    runners["coherent_detection"] = {.compute = coherent_detection_case};
    runners["impedance_error"] = {.compute = impedance_error_case};
    runners["clock_offset_loss"] = {.compute = clock_offset_loss_case};
}

}  // namespace ampturn::reference
