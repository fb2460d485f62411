#include "scheduler/setup/cautions.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "embedded/cautions.hpp"
#include "scheduler/base/text_template.hpp"
#include "scheduler/setup/safety_figure.hpp"

namespace ampturn::setup {
namespace {

/// The sentence of that name in cautions.txt.
std::string sentence(std::string_view name, const base::TemplateValues& values) {
    return base::filled_template(base::named_line(embedded::cautions::sentences(), name), values);
}

/// What IEC 60204-1, 6.2.4, has to say of the time to 60 V; empty when it is short.
std::string slow_discharge(double seconds_to_60_v) {
    constexpr double after_switching_off_s = 5, at_bare_plugs_s = 1;
    if (!std::isfinite(seconds_to_60_v) || seconds_to_60_v <= at_bare_plugs_s) return "";
    return sentence(seconds_to_60_v > after_switching_off_s ? "capacitor_slow" : "capacitor_plugs",
                    {{"seconds_60", safety_figure_text(seconds_to_60_v)}}) +
           " ";
}

}  // namespace

std::vector<std::string> cautions_of(const plan::Plan& plan, const KeepOut& keep_out) {
    std::vector<std::string> out{sentence(
        "energised_loop", {{"public_m", safety_figure_text(keep_out.public_m)},
                           {"occupational_m", safety_figure_text(keep_out.occupational_m)},
                           {"magnetic_public_m", safety_figure_text(keep_out.magnetic_public_m)},
                           {"magnetic_occupational_m", safety_figure_text(keep_out.magnetic_occupational_m)},
                           {"electric_public_m", safety_figure_text(keep_out.electric_public_m)},
                           {"electric_occupational_m", safety_figure_text(keep_out.electric_occupational_m)},
                           {"volts", fmt::format("{:.0f}", std::ceil(keep_out.loop_to_ground_v_rms))},
                           {"levels", exposure_levels_text(plan.safety)},
                           {"margin_m", fmt::format("{:g}", plan.safety.keep_out_margin_m)}})};
    if (keep_out.capacitor_peak_v > 0) {
        const std::string discharge =
            std::isfinite(keep_out.capacitor_to_safe_s)
                ? sentence("capacitor_falls", {{"safe_v", fmt::format("{:g}", plan.safety.safe_capacitor_v)},
                                               {"seconds", safety_figure_text(keep_out.capacitor_to_safe_s)}})
                : sentence("capacitor_stays", {});
        out.push_back(sentence("capacitor", {{"peak_v", safety_volts_text(keep_out.capacitor_peak_v)},
                                             {"discharge", discharge},
                                             {"slow", slow_discharge(keep_out.capacitor_to_60_v_s)}}));
    } else {
        out.push_back(sentence("loop_ends", {}));
    }
    out.push_back(sentence("batteries", {}));
    if (plan.battery.chemistry == plan::Chemistry::lifepo4) out.push_back(sentence("by_air", {}));
    const auto& t = plan.day.temperature_c;
    if (plan.battery.chemistry == plan::Chemistry::lifepo4 && !t.empty() &&
        *std::min_element(t.begin(), t.end()) < 0)
        out.push_back(sentence("cold", {}));
    out.push_back(sentence("lightning",
                           {{"flash_to_bang_s", fmt::format("{:g}", plan.safety.lightning_flash_to_bang_s)},
                            {"wait_min", fmt::format("{:g}", plan.safety.lightning_wait_min)}}));
    out.push_back(sentence("wind", {{"raise_m_s", fmt::format("{:g}", plan.safety.wind_raise_limit_m_s)},
                                    {"mean_m_s", fmt::format("{:g}", plan.safety.wind_lower_mean_m_s)},
                                    {"gust_m_s", fmt::format("{:g}", plan.safety.wind_lower_gust_m_s)}}));
    out.push_back(sentence("masts", {}));
    out.push_back(sentence("radio", {}));
    return out;
}

}  // namespace ampturn::setup
