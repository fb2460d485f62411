#include "scheduler/plan/station_own.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ampturn::plan {

const Ground& ground_of(const Plan& plan, const Station& station) {
    return station.ground_index ? plan.grounds[static_cast<std::size_t>(*station.ground_index)].ground
                                : plan.earth;
}

std::string ground_table_of(const Station& station) {
    return station.ground_index ? fmt::format("[[ground]] {}", *station.ground_index + 1) : "[earth]";
}

Receiver receiver_of(const Plan& plan, const Station& station) {
    Receiver out = plan.receiver;
    if (station.sensors_index) {
        const SensorSet& own = plan.sensor_sets[static_cast<std::size_t>(*station.sensors_index)];
        out.dipole_m = own.dipole_m.value_or(out.dipole_m);
        out.contact_resistance_ohm = own.contact_resistance_ohm.value_or(out.contact_resistance_ohm);
        if (own.coil) {
            out.coil = *own.coil;
            out.coil_a_pt = own.coil_a_pt;
            out.coil_floor_pt_per_rthz = own.coil_floor_pt_per_rthz;
            out.coil_b_pt_per_hz = own.coil_b_pt_per_hz;
        }
    }
    out.contact_resistance_ohm = station.contact_resistance_ohm.value_or(out.contact_resistance_ohm);
    return out;
}

const NaturalSpectrum* natural_spectrum_of(const Plan& plan, const Station& station) {
    if (station.spectrum) return &*station.spectrum;
    return plan.noise.spectrum ? &*plan.noise.spectrum : nullptr;
}

const std::string& spectrum_csv_of(const Plan& plan, const Station& station) {
    return station.spectrum ? station.spectrum_csv : plan.noise.spectrum_csv;
}

std::string spectrum_key_of(const Plan& plan, const Station& station) {
    if (station.spectrum)
        for (std::size_t i = 0; i < plan.stations.size(); ++i)
            if (plan.stations[i].name == station.name) return fmt::format("station[{}].spectrum_csv", i + 1);
    return "noise.spectrum_csv";
}

std::optional<double> natural_azimuth_deg_of(const Plan& plan, const Station& station) {
    return station.natural_azimuth_deg ? station.natural_azimuth_deg : plan.noise.natural_azimuth_deg;
}

double mains_b_nt_of(const Plan& plan, const Station& station) {
    return station.mains_b_nt ? *station.mains_b_nt
                              : std::hypot(plan.noise.mains_b_nt, station.power_lines_b_nt);
}

std::vector<Interferer> interferers_of(const Plan& plan, const Station& station) {
    std::vector<Interferer> out = plan.noise.interferers;
    out.insert(out.end(), station.interferers.begin(), station.interferers.end());
    return out;
}

bool asked_of(const Question& question, const Station& station) {
    return question.stations.empty() || std::find(question.stations.begin(), question.stations.end(),
                                                  station.name) != question.stations.end();
}

const Station& first_asked(const Plan& plan) {
    static const Station anywhere;
    const auto found = std::find_if(plan.stations.begin(), plan.stations.end(), [&](const Station& station) {
        return asked_of(*plan.question, station);
    });
    return found == plan.stations.end() ? anywhere : *found;
}

const Ground& question_ground(const Plan& plan) { return ground_of(plan, first_asked(plan)); }

std::string question_ground_table(const Plan& plan) { return ground_table_of(first_asked(plan)); }

bool differs_from_survey(const Station& station) {
    return station.mains_b_nt || station.contact_resistance_ohm || station.ground_index ||
           station.sensors_index || station.spectrum || station.natural_azimuth_deg ||
           !station.interferers.empty() || station.power_lines_b_nt > 0;
}

Plan plan_as_at(const Plan& plan, const Station& station) {
    Plan out = plan;
    out.earth = ground_of(plan, station);
    out.receiver = receiver_of(plan, station);
    if (station.spectrum) out.noise.spectrum = station.spectrum;
    out.noise.spectrum_csv = spectrum_csv_of(plan, station);
    out.noise.natural_azimuth_deg = natural_azimuth_deg_of(plan, station);
    out.noise.interferers = interferers_of(plan, station);
    out.noise.mains_b_nt = mains_b_nt_of(plan, station);
    return out;
}

}  // namespace ampturn::plan
