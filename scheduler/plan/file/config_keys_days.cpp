#include "scheduler/plan/file/config_keys.hpp"

namespace ampturn::plan::file {

Section<SurveyDayInput> survey_day_keys() {
    Section<SurveyDayInput> keys;
    keys.date("date", &SurveyDayInput::date,
              {.help = "Its date, after that of the day before.", .required = true})
        .time_of_day("start", &SurveyDayInput::start_s,
                     {.help = "The crews leave the base.", .when_absent = "day.start"})
        .time_of_day("end", &SurveyDayInput::end_s,
                     {.help = "The crews must be back at the base; not later than start: on the next day.",
                      .when_absent = "day.end"})
        .texts("stations", &SurveyDayInput::stations, {1, 1000},
               {.help = "Stations of this day by name, in the order of the day.",
                .when_absent = "in plan order, what is still open and named by no later day"})
        .yes_no("charge", &SurveyDayInput::charge,
                {.help = "Batteries are charged in the night after it, as [charging] says."});
    return keys;
}

Section<Charging> charging_keys() {
    constexpr std::string_view assumed = "common practice, no source";
    constexpr NumberRange watts{.unit = "W", .min = 0, .max = 100'000, .min_excluded = true};
    const Words<ChargingSupply> supplies{{ChargingSupply::mains, "mains"},
                                         {ChargingSupply::generator, "generator"},
                                         {ChargingSupply::vehicle, "vehicle"}};
    Section<Charging> keys;
    keys.number("charger_w", &Charging::charger_w, watts,
                {.help = "What one charger gives at most, at the battery's terminals.", .required = true})
        .whole("chargers", &Charging::chargers, {.min = 1, .max = 50},
               {.help = "Chargers at work at once, each on one set until that is full."})
        .number("hours", &Charging::hours, {.unit = "h", .min = 0, .max = 24, .min_excluded = true},
                {.help = "How long a night is charged, at most until the next day starts.", .required = true})
        .number("efficiency", &Charging::efficiency, {.min = 0.3, .max = 1},
                {.help = "Of a charger, from its supply to the battery's terminals.", .source = assumed})
        .number("place_temperature_c", &Charging::place_temperature_c, {.unit = "C", .min = 0, .max = 45},
                {.help = "Where the batteries are charged. No battery is charged below 0 C: lithium plates "
                         "metal, and a discharged lead-acid battery may be frozen.",
                 .source = assumed})
        .choice("supply", &Charging::supply, supplies,
                {.help = "What feeds the chargers; a generator and a vehicle need the two keys below."})
        .number("supply_w", &Charging::supply_w, watts,
                {.help = "What the supply gives to all chargers together.",
                 .when_absent = "no limit with supply = \"mains\""})
        .number("supply_wh", &Charging::supply_wh,
                {.unit = "W h", .min = 0, .max = 1'000'000, .min_excluded = true},
                {.help = "Energy the supply has a night: fuel, a vehicle's battery.",
                 .when_absent = "no limit with supply = \"mains\""});
    return keys;
}

}  // namespace ampturn::plan::file
