#include "scheduler/setup/cautions.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ampturn::plan {
namespace {

/// To a decimetre, never down.
double rounded_up(double distance_m) { return std::ceil(10 * distance_m) / 10; }

}  // namespace

std::vector<std::string> cautions_of(const Plan& plan, const KeepOut& keep_out) {
    std::vector<std::string> out;
    out.push_back(fmt::format(
        "Energised loop: keep the public {:.1f} m and trained crew {:.1f} m from any wire while "
        "sending (ICNIRP 2010 levels, "
        "harmonics counted, margin {:g} m included). Wearers of implants keep away altogether. "
        "Local law and the "
        "responsible person decide.",
        rounded_up(keep_out.public_m), rounded_up(keep_out.occupational_m), plan.safety.keep_out_margin_m));
    if (keep_out.capacitor_peak_v > 0) {
        const std::string discharge =
            std::isfinite(keep_out.capacitor_to_safe_s)
                ? fmt::format(
                      "it falls to {:g} V in {:.1f} s through the bleed resistor; measure before touching",
                      plan.safety.safe_capacitor_v, keep_out.capacitor_to_safe_s)
                : std::string("there is NO bleed resistor: discharge and measure before touching");
        out.push_back(
            fmt::format("Series capacitor: up to {:.0f} V peak at the loop's ends; {}. Work on it is for "
                        "licensed persons.",
                        keep_out.capacitor_peak_v, discharge));
    } else {
        out.push_back(
            "Loop ends carry the bus voltage and an arc when opened under current: stop, wait for the word "
            "standby, "
            "then touch.");
    }
    out.push_back(
        "Batteries: positive on first, negative last; negative off first. No bridge by tools or rings; "
        "charge in the "
        "open. Acid or cell damage: follow the maker's sheet and local rules.");
    const auto& t = plan.day.temperature_c;
    if (plan.battery.chemistry == Chemistry::lifepo4 && !t.empty() &&
        *std::min_element(t.begin(), t.end()) < 0)
        out.push_back(
            "Cold: LiFePO4 cells must not be charged below 0 C (common practice, no source); warm them "
            "first.");
    out.push_back(
        fmt::format("Lightning: flash to bang {:g} s or less, stop and take shelter; wait {:g} min after the "
                    "last thunder. Any thunder "
                    "heard is a risk: loops down and disconnected early.",
                    plan.safety.lightning_flash_to_bang_s, plan.safety.lightning_wait_min));
    out.push_back(fmt::format(
        "Wind: do not raise above {:g} m/s mean; lower above {:g} m/s mean or {:g} m/s gusts (assumptions: "
        "the mast maker's "
        "figures come first).",
        plan.safety.wind_raise_limit_m_s, plan.safety.wind_lower_mean_m_s, plan.safety.wind_lower_gust_m_s));
    out.push_back(
        "Masts and guys must fall clear of overhead lines by the legal distance. Batteries and masts are "
        "heavy: two "
        "persons or a carrier.");
    return out;
}

}  // namespace ampturn::plan
