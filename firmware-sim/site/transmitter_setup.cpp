#include <fmt/format.h>

#include "firmware-sim/site/transmitter_setup.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/setup/cautions.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::sim::site {

TransmitterSetup transmitter_setup_of(std::string_view plan_text, const std::string& path,
                                      std::uint64_t seed) {
    const plan::Plan plan = plan::file::parse_plan(plan_text, path);
    TransmitterSetup transmitter;
    const setup::SurveySetup survey = setup::survey_setup_of(plan);
    transmitter.setup.transmitter = survey.transmitter;
    transmitter.setup.config = survey.unit;
    transmitter.setup.measuring.current.bits = transmitter.setup.measuring.voltage.bits = plan.unit.adc_bits;
    transmitter.setup.seed = seed;
    transmitter.table = survey.table.table;
    transmitter.table_name = plan.sweep.name;
    transmitter.table_crc32 = survey.table.crc32;
    transmitter.air_c = plan.day.air_temperature_c(plan.day.start_s);
    transmitter.battery_state_of_charge = plan.battery.state_of_charge_of(0);
    transmitter.keep_out_m = survey.keep_out.public_m;
    transmitter.cautions = setup::cautions_of(plan, survey.keep_out);
    for (const model::loop::LoopSelection which : model::loop::each_loop) {
        const plan::Loop& loop = plan.loop(which);
        TransmitterSetup::LoopSheet& sheet = transmitter.loops[model::loop::index_of(which)];
        const auto& taps = transmitter.setup.transmitter.taps(which);
        for (const model::loop::LoopTap& tap : taps) sheet.turns.push_back(tap.turns);
        if (!taps.empty()) {
            sheet.area_m2 = taps.back().area_m2;
            sheet.resistance_20c_ohm = taps.back().resistance_dc_20c_ohm + taps.back().lead_resistance_ohm;
        }
        sheet.azimuth_deg = plan.loop_azimuth_deg(which, 0);
        sheet.height_m = loop.centre_height_m;
        sheet.tilt_deg = loop.tilt_deg;
    }
    transmitter.survey = plan.survey.name + (plan.survey.invented ? " (invented)" : "");
    transmitter.name = transmitter.survey;
    transmitter.operator_name = plan.survey.operator_name;
    transmitter.declination_deg = plan.survey.declination_deg;
    const plan::Site& site = plan.sites.front();
    transmitter.site = site.name;
    transmitter.position =
        site.place.latitude_deg && site.place.longitude_deg
            ? fmt::format("{:.6f} N, {:.6f} E (WGS84)", *site.place.latitude_deg, *site.place.longitude_deg)
            : fmt::format("{:.1f} m north, {:.1f} m east of the plan's origin", site.place.x_m,
                          site.place.y_m);
    return transmitter;
}

}  // namespace ampturn::sim::site
