#include <algorithm>

#include "scheduler/plan/file/config_keys.hpp"

namespace ampturn::plan::file {

namespace {

using model::emission::LimitTable;

constexpr NumberRange band_edge{.unit = "Hz", .min = 0.1, .max = 3e7};

/// A band of no width has one frequency; upside down it has none.
template <class Band>
void check_band(const Band& band, const Value& table, const std::string& key, Problems& problems) {
    if (band.high_hz >= band.low_hz) return;
    const auto* members = std::get_if<Value::Table>(&table.data);
    const Value* high = members != nullptr ? find_member(*members, "high_hz") : nullptr;
    problems.add(high != nullptr ? *high : table, key + ".high_hz", fmt::format("{}", band.high_hz),
                 fmt::format("at least low_hz, {} Hz", band.low_hz));
}

Section<OwnEmissionLimit> limit_keys() {
    constexpr NumberRange decibel{.unit = "dB(uA/m)", .min = -100, .max = 200};
    constexpr NumberRange volt_decibel{.unit = "dB(uV/m)", .min = -100, .max = 200};
    Section<OwnEmissionLimit> keys;
    keys.text("name", &OwnEmissionLimit::name, {.help = "What it is.", .required = true}, 80)
        .number("low_hz", &OwnEmissionLimit::low_hz, band_edge,
                {.help = "Lowest frequency it holds for.", .required = true})
        .number("high_hz", &OwnEmissionLimit::high_hz, band_edge,
                {.help = "Highest frequency it holds for.", .required = true})
        .number(
            "distance_m", &OwnEmissionLimit::distance_m, {.unit = "m", .min = 1, .max = 20'000},
            {.help =
                 "Distance that it holds at, from the loop's nearest part; more than the loop reaches from its "
                 "centre, for a dipole stands for it.",
             .required = true})
        .number("h_dbua_per_m", &OwnEmissionLimit::h_dbua_per_m, decibel,
                {.help = "Magnetic field allowed, rms.", .when_absent = "e_dbuv_per_m instead"})
        .number(
            "e_dbuv_per_m", &OwnEmissionLimit::e_dbuv_per_m, volt_decibel,
            {.help =
                 "Electric field allowed, rms; held against the larger of the electric field and 376.7 ohm "
                 "times the magnetic one.",
             .when_absent = "h_dbua_per_m instead"})
        .rule([](const OwnEmissionLimit& limit, const Value& table, const std::string& key,
                 Problems& problems) {
            check_band(limit, table, key, problems);
            if (limit.h_dbua_per_m.has_value() == limit.e_dbuv_per_m.has_value())
                problems.add(table, key + ".h_dbua_per_m",
                             limit.h_dbua_per_m ? "h_dbua_per_m and e_dbuv_per_m" : "nothing",
                             "one of h_dbua_per_m and e_dbuv_per_m");
        });
    return keys;
}

Section<AvoidedService> service_keys() {
    Section<AvoidedService> keys;
    keys.text("name", &AvoidedService::name, {.help = "Who uses it.", .required = true}, 80)
        .number("low_hz", &AvoidedService::low_hz, band_edge,
                {.help = "Lower end of the band to keep clear of.", .required = true})
        .number("high_hz", &AvoidedService::high_hz, band_edge,
                {.help = "Upper end of the band to keep clear of.", .required = true})
        .rule(check_band<AvoidedService>);
    return keys;
}

}  // namespace

Section<Emission> emission_keys() {
    const Words<LimitTable> tables{{LimitTable::erc_rec_70_03_annex_9, "erc_rec_70_03_annex_9"},
                                   {LimitTable::cfr_47_15_209, "cfr_47_15_209"}};
    Section<Emission> keys;
    keys.choices(
            "limit_tables", &Emission::limit_tables, tables, {1, 2},
            {.help =
                 "Tables of limits to look at: erc_rec_70_03_annex_9, inductive applications, magnetic field at "
                 "10 m; cfr_47_15_209, general limits from 9 kHz, electric field at 300 and 30 m. Which of them, "
                 "if any, holds is for the licensing authority to say.",
             .source = "tests/reference/facts; above 140 kHz annex 9 from memory",
             .when_absent = "none"})
        .yes_no(
            "built_in_services", &Emission::built_in_services,
            {.help =
                 "Keep clear of the services of the program's own list, time signals, navigation and others, "
                 "besides those below; false: only of those below.",
             .source = "mostly general knowledge: model/emission/avoided_services.cpp"})
        .tables("limit", &Emission::limits, limit_keys(), {0, 50},
                {.help = "A limit of your own.", .when_absent = "none"})
        .tables("service", &Emission::services, service_keys(), {0, 500},
                {.help = "A service to keep clear of.", .when_absent = "none but the built-in ones"})
        .rule([](const Emission& emission, const Value& table, const std::string& key, Problems& problems) {
            const auto& chosen = emission.limit_tables;
            if (chosen.size() == 2 && chosen[0] == chosen[1])
                problems.add(table, key + ".limit_tables", "one table twice", "each table once");
        });
    return keys;
}

}  // namespace ampturn::plan::file
