#pragma once

#include "scheduler/plan/file/config_input.hpp"
#include "scheduler/plan/file/config_schema.hpp"

namespace ampturn::plan::file {

/// The one place where the keys of a plan file are defined: name, unit, default, range, help, source.

Section<Survey> survey_keys();
Section<GroundInput> ground_keys();
Section<NamedGroundInput> named_ground_keys();
Section<SiteInput> site_keys();
Section<StationInput> station_keys();
Section<ReceiverCrew> receiver_crew_keys();
Section<PowerLineInput> power_line_keys();
Section<Loop> loop_keys();
Section<Driver> driver_keys();
Section<Battery> battery_keys();
Section<Thermal> thermal_keys();
Section<Unit> unit_keys();
Section<SweepInput> sweep_keys();
Section<Receiver> receiver_keys();
Section<SensorSet> sensor_set_keys();
Section<Interferer> interferer_keys();
Section<Noise> noise_keys();
Section<Targets> targets_keys();
Section<Day> day_keys();
Section<Areas> areas_keys();
Section<Terrain> terrain_keys();
Section<SurveyDayInput> survey_day_keys();
Section<Charging> charging_keys();
Section<Safety> safety_keys();
Section<Emission> emission_keys();
Section<Uncertainty> uncertainty_keys();
Section<QuestionInput> question_keys();

/// The whole file.
const Section<PlanInput>& plan_keys();

/// Words used by more than one table, or in other files that are read by the same keys.
const Words<NaturalNoise>& natural_noise_words();
const Words<Chemistry>& chemistry_words();
const Words<Conductor>& conductor_words();

}  // namespace ampturn::plan::file
