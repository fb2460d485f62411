#include <fmt/format.h>

#include "firmware-sim/site/kit.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/setup/cautions.hpp"
#include "scheduler/setup/survey_setup.hpp"

namespace ampturn::sim {

UnitKit kit_of_plan(std::string_view plan_text, const std::string& path, std::uint64_t seed) {
    const plan::Plan plan = plan::parse_plan(plan_text, path);
    UnitKit kit;
    const plan::SurveySetup survey = plan::survey_setup_of(plan);
    kit.setup.rig = survey.rig;
    kit.setup.config = survey.unit;
    kit.setup.measuring.current.bits = kit.setup.measuring.voltage.bits = plan.unit.adc_bits;
    kit.setup.seed = seed;
    kit.table = survey.table.table;
    kit.table_name = plan.sweep.name;
    kit.table_crc32 = survey.table.crc32;
    kit.air_c = plan.day.air_temperature_c(plan.day.start_s);
    kit.battery_state_of_charge = plan.battery.state_of_charge_of(0);
    kit.keep_out_m = keep_out.public_m;
    kit.cautions = plan::cautions_of(plan, keep_out);
    for (const model::LoopSelection which : model::each_loop) {
        const plan::Loop& loop = plan.loop(which);
        UnitKit::LoopSheet& sheet = kit.loops[model::index_of(which)];
        const auto& taps = kit.setup.rig.taps(which);
        for (const model::LoopTap& tap : taps) sheet.turns.push_back(tap.turns);
        if (!taps.empty()) {
            sheet.area_m2 = taps.back().area_m2;
            sheet.resistance_20c_ohm = taps.back().resistance_dc_20c_ohm + taps.back().lead_resistance_ohm;
        }
        sheet.azimuth_deg = plan.loop_azimuth_deg(which, 0);
        sheet.height_m = loop.centre_height_m;
        sheet.tilt_deg = loop.tilt_deg;
    }
    kit.survey = plan.survey.name + (plan.survey.invented ? " (invented)" : "");
    kit.name = kit.survey;
    kit.operator_name = plan.survey.operator_name;
    kit.declination_deg = plan.survey.declination_deg;
    const plan::Stand& stand = plan.stands.front();
    kit.stand = stand.name;
    kit.position =
        stand.place.latitude_deg && stand.place.longitude_deg
            ? fmt::format("{:.6f} N, {:.6f} E (WGS84)", *stand.place.latitude_deg, *stand.place.longitude_deg)
            : fmt::format("{:.1f} m north, {:.1f} m east of the plan's origin", stand.place.x_m,
                          stand.place.y_m);
    return kit;
}

}  // namespace ampturn::sim
