#include <fmt/format.h>

#include "firmware-sim/site/transmitter_setup.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/setup/cautions.hpp"
#include "scheduler/setup/keep_out.hpp"
#include "scheduler/setup/rig_of_plan.hpp"
#include "scheduler/setup/unit_of_plan.hpp"
#include "scheduler/sweep/table_files.hpp"

namespace ampturn::sim {

TransmitterSetup transmitter_setup_of(std::string_view plan_text, const std::string& path,
                                      std::uint64_t seed) {
    const plan::Plan plan = plan::parse_plan(plan_text, path);
    TransmitterSetup transmitter;
    transmitter.setup.rig = plan::rig_of(plan);
    const plan::PlannedTable table = plan::table_of(plan, transmitter.setup.rig);
    const plan::KeepOut keep_out = plan::keep_out_of(plan, transmitter.setup.rig, table);
    transmitter.setup.config = plan::unit_config_of(plan, transmitter.setup.rig);
    transmitter.setup.measuring.current.bits = transmitter.setup.measuring.voltage.bits = plan.unit.adc_bits;
    transmitter.setup.seed = seed;
    transmitter.table = table.table;
    transmitter.table_name = plan.sweep.name;
    transmitter.table_crc32 = plan::image_crc32(transmitter.table, transmitter.setup.config.clock_hz);
    transmitter.air_c = plan.day.air_temperature_c(plan.day.start_s);
    transmitter.battery_state_of_charge = plan.battery.state_of_charge_of(0);
    transmitter.keep_out_m = keep_out.public_m;
    transmitter.cautions = plan::cautions_of(plan, keep_out);
    for (const plan::Side side : plan::both_sides) {
        const std::size_t i = side == plan::Side::a ? 0 : 1;
        const plan::Loop& loop = plan.loop(side);
        TransmitterSetup::LoopSheet& sheet = transmitter.loops[i];
        const auto& taps = i == 0 ? transmitter.setup.rig.taps_a : transmitter.setup.rig.taps_b;
        for (const model::LoopTap& tap : taps) sheet.turns.push_back(tap.turns);
        if (!taps.empty()) {
            sheet.area_m2 = taps.back().area_m2;
            sheet.resistance_20c_ohm = taps.back().resistance_dc_20c_ohm + taps.back().lead_resistance_ohm;
        }
        sheet.azimuth_deg = plan.loop_azimuth_deg(side, 0);
        sheet.height_m = loop.centre_height_m;
        sheet.tilt_deg = loop.tilt_deg;
    }
    transmitter.survey = plan.survey.name + (plan.survey.invented ? " (invented)" : "");
    transmitter.name = transmitter.survey;
    transmitter.operator_name = plan.survey.operator_name;
    transmitter.declination_deg = plan.survey.declination_deg;
    const plan::Stand& stand = plan.stands.front();
    transmitter.stand = stand.name;
    transmitter.position =
        stand.place.latitude_deg && stand.place.longitude_deg
            ? fmt::format("{:.6f} N, {:.6f} E (WGS84)", *stand.place.latitude_deg, *stand.place.longitude_deg)
            : fmt::format("{:.1f} m north, {:.1f} m east of the plan's origin", stand.place.x_m,
                          stand.place.y_m);
    return transmitter;
}

}  // namespace ampturn::sim
