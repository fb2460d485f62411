#include "model/emission/emission_limits.hpp"

#include <cmath>
#include <stdexcept>

namespace ampturn::model::emission {
namespace {

constexpr const char* read_cept =
    "ERC/REC 70-03 annex 9, read in the CEPT frequency information system (tests/reference/facts)";
constexpr const char* recalled_cept = "ERC/REC 70-03 annex 9, from memory";
constexpr const char* read_cfr = "47 CFR 15.209(a), read (tests/reference/facts)";

struct Band {
    double low_hz, high_hz, distance_m, level, level_hz, falling_power;
    const char* source;
};

std::vector<EmissionLimit> table_of(LimitTable table, LimitedField field, const std::vector<Band>& bands) {
    std::vector<EmissionLimit> out;
    for (const Band& b : bands)
        out.push_back({name_of(table), b.low_hz, b.high_hz, b.distance_m, field, b.level, b.level_hz,
                       b.falling_power, b.source});
    return out;
}

}  // namespace

double EmissionLimit::level_at(double frequency_hz) const {
    return frequency_hz <= level_hz ? level : level * std::pow(level_hz / frequency_hz, falling_power);
}

const char* name_of(LimitTable table) {
    switch (table) {
        case LimitTable::erc_rec_70_03_annex_9:
            return "ERC/REC 70-03 annex 9";
        case LimitTable::cfr_47_15_209:
            return "47 CFR 15.209";
    }
    return "?";
}

std::vector<EmissionLimit> limits_of(LimitTable table) {
    const auto db = per_m_of_db_micro;
    switch (table) {
        case LimitTable::erc_rec_70_03_annex_9:
            return table_of(table, LimitedField::magnetic,
                            {{100, 9e3, 10, db(82), 9e3, 0, read_cept},
                             {9e3, 90e3, 10, db(72), 30e3, 0.5, read_cept},
                             {90e3, 119e3, 10, db(42), 119e3, 0, read_cept},
                             {119e3, 135e3, 10, db(66), 119e3, 0.5, read_cept},
                             {135e3, 140e3, 10, db(42), 140e3, 0, read_cept},
                             {140e3, 148.5e3, 10, db(37.7), 148.5e3, 0, recalled_cept},
                             {148.5e3, 5e6, 10, db(-15), 5e6, 0, recalled_cept},
                             {5e6, 30e6, 10, db(-20), 30e6, 0, recalled_cept}});
        case LimitTable::cfr_47_15_209: {
            constexpr double uv = 1e-6, khz = 1e3;
            return table_of(table, LimitedField::electric,
                            {{9e3, 490e3, 300, 2400 * uv / (9e3 / khz), 9e3, 1, read_cfr},
                             {490e3, 1705e3, 30, 24000 * uv / (490e3 / khz), 490e3, 1, read_cfr},
                             {1705e3, 30e6, 30, 30 * uv, 30e6, 0, read_cfr}});
        }
    }
    throw std::logic_error("limit table unknown");
}

double db_of_micro(double per_m) { return 20 * std::log10(per_m) + 120; }
double per_m_of_db_micro(double db) { return std::pow(10.0, (db - 120) / 20); }

}  // namespace ampturn::model::emission
