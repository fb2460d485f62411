#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <functional>
#include <map>
#include <string>

#include "model/base/constants.hpp"
#include "model/loop/exposure.hpp"
#include "model/loop/wire.hpp"
#include "model/receiver/window.hpp"
#include "model/transmitter/battery.hpp"
#include "scheduler/plan/plan.hpp"
#include "tests/outside_check.hpp"
#include "tests/reference_csv.hpp"

// Constants of the program against what was read of them elsewhere, row by row.

namespace facts_test {

using namespace ampturn::model;
using loop::ExposureGroup;

/// The n-th number in a text, counted from 0; "1/58" is one number.
double number_in(const std::string& text, int n = 0) {
    const char* at = text.c_str();
    while (*at != '\0') {
        char* end = nullptr;
        const double value = std::strtod(at, &end);
        const bool number =
            end != at && (std::isdigit(static_cast<unsigned char>(*at)) != 0 || *at == '.' || *at == '-');
        if (number && n-- == 0) return value;
        at = number ? end : at + 1;
    }
    throw std::runtime_error("no such number in " + text);
}

/// "0.2e-3", "0.04/f^2", "0.3/f" at a frequency.
double level_of(const std::string& formula, double f) {
    const double number = number_in(formula);
    if (formula.find("/f^2") != std::string::npos) return number / (f * f);
    return formula.find("/f") != std::string::npos ? number / f : number;
}

using Rows = std::map<std::string, std::function<void(const std::string& source_value)>>;

/// Frequencies inside the bands of the rows on exposure.
void add_exposure(Rows& rows, ampturn::test::OutsideCheck& check) {
    const auto band = [&](const char* group_name, ExposureGroup group, const char* name, double f) {
        const std::string item = std::string("ICNIRP 2010 ") + group_name + " B " + name;
        rows[item] = [&check, group, f, item](const std::string& source) {
            check.relative(loop::icnirp2010_level_t(group, f), level_of(source, f), 1e-12, item);
        };
    };
    const auto people = ExposureGroup::general_public, work = ExposureGroup::occupational;
    band("public", people, "1-8 Hz", 5);
    band("public", people, "8-25 Hz", 20);
    band("public", people, "25-50 Hz", 30);
    band("public", people, "50-400 Hz", 300);
    band("public", people, "400-3000 Hz", 1000);
    band("public", people, "3 kHz-10 MHz", 5e4);
    band("occupational", work, "1-8 Hz", 5);
    band("occupational", work, "8-25 Hz", 20);
    band("occupational", work, "25-300 Hz", 100);
    band("occupational", work, "300-3000 Hz", 1000);
    band("occupational", work, "3 kHz-10 MHz", 5e4);
    const auto local = [&](const char* item, ExposureGroup group) {
        rows[item] = [&check, group, item](const std::string& source) {  // A/m over f in MHz
            check.relative(loop::exposure_level_t({}, group, 5e5), mu0_h_per_m * number_in(source) / 0.5,
                           1e-12, item);
        };
    };
    local("ICNIRP 2020 local exposure, 6 min, 0.1-30 MHz, public: H", people);
    local("ICNIRP 2020 local exposure, 6 min, 0.1-30 MHz, occupational: H", work);
    rows["ICNIRP 1998 reference levels at 50 Hz"] = [&](const std::string& source) {
        const loop::ExposureLevels eu{.set = loop::ExposureLevels::Set::eu};
        check.relative(loop::exposure_level_t(eu, people, 50), 1e-6 * number_in(source), 1e-12,
                       "1999/519/EC at 50 Hz");
    };
}

void add_wires(Rows& rows, ampturn::test::OutsideCheck& check) {
    const loop::Wire copper = loop::wire_of_area(1e-6);
    rows["resistivity of annealed copper at 20 C"] = [&check, copper](const std::string& source) {
        check.relative(1e6 * copper.resistivity_20c_ohm_m, number_in(source), 3e-5, "resistivity of copper");
    };
    rows["temperature coefficient of copper at 20 C"] = [&check, copper](const std::string& source) {
        check.relative(copper.alpha20_per_k, number_in(source), 1e-9, "temperature coefficient of copper");
    };
    rows["aluminium resistivity"] = [&check](const std::string& source) {
        check.relative(1e6 * loop::aluminium_resistivity_20c_ohm_m, number_in(source, 2), 1e-4,
                       "resistivity of aluminium");
    };
    rows["aluminium temperature coefficient"] = [&check](const std::string& source) {
        check.relative(loop::aluminium_alpha20_per_k, number_in(source), 1e-9,
                       "temperature coefficient of aluminium");
    };
    for (const int awg : {0, 4, 8, 10, 12, 16, 20, 30}) {
        const std::string item = "AWG " + std::to_string(awg);
        rows[item] = [&check, awg, item](const std::string& source) {  // three figures: mm first, ohm/km last
            const loop::Wire wire = loop::wire_of_gauge(awg);
            const int last = awg <= 12 && awg != 4 && awg != 8 ? (awg == 0 || awg >= 10 ? 2 : 1) : 1;
            const int numbers_before = awg >= 10 && awg <= 12 ? 1 : 0;  // the 2 of mm2
            check.relative(2e3 * wire.radius_m(), number_in(source), 3e-3, item + " diameter");
            if (awg != 30)
                check.relative(1e3 * wire.resistance_dc_ohm_per_m(20),
                               number_in(source, last + numbers_before), 3e-3, item + " resistance");
        };
    }
}

void add_windows(Rows& rows, ampturn::test::OutsideCheck& check) {
    const auto row = [&](const char* name, const receiver::Window& window) {
        const std::string item = std::string(name) + ": ENBW bins; scalloping dB";
        rows[item] = [&check, window, item](const std::string& source) {
            check.absolute(receiver::noise_bandwidth_bins(window), number_in(source), 0.006, item);
        };
    };
    row("rectangular", receiver::rectangular_window());
    row("hann", receiver::hann_window());
    row("hamming", receiver::hamming_window());
    row("blackman", receiver::blackman_window());
}

TEST(Facts, ConstantsAreWhatWasReadOfThem) {
    // Published: as each row names.
    const ReferenceCsv table("facts/facts.csv", 227);
    ampturn::test::OutsideCheck check("constants of the program",
                                      "tests/reference/facts, each row with its source");
    Rows rows;
    add_exposure(rows, check);
    add_wires(rows, check);
    add_windows(rows, check);
    const ampturn::plan::Safety safety;
    rows["flash to bang: stop at or below"] = [&](const std::string& source) {
        check.absolute(safety.lightning_flash_to_bang_s, number_in(source), 0, "flash to bang");
    };
    rows["wait after last thunder"] = [&](const std::string& source) {
        check.absolute(safety.lightning_wait_min, number_in(source), 0, "wait after thunder");
    };
    rows["no charging below"] = [&](const std::string& source) {
        check.absolute(transmitter::lifepo4_charge_min_c, number_in(source), 0, "no charging below");
    };
    rows["cut-off per cell"] = [&](const std::string& source) {
        check.absolute(transmitter::typical_block(transmitter::Chemistry::lead_agm, 12, 40).cutoff_v_per_cell,
                       number_in(source), 0, "cut-off of lead-acid");
    };
    std::size_t held = 0, factors = 0;
    for (std::size_t i = 0; i < table.size(); ++i) {
        const std::string& item = table.text(i, "item");
        if (item == "cell-size (rate-adjusted) temperature factor") {
            if (table.text(i, "agrees") != "yes") continue;
            const double temperature_c = number_in(table.text(i, "unit"));
            check.relative(transmitter::ieee485_factor(temperature_c).factor,
                           number_in(table.text(i, "source_value")), 1e-9,
                           "cell-size factor at " + table.text(i, "unit"));
            ++factors;
        } else if (const auto row = rows.find(item); row != rows.end()) {
            row->second(table.text(i, "source_value"));
            ++held;
        }
    }
    EXPECT_EQ(factors, 33u) << "definition: rows of IEEE 485 that agree";
    EXPECT_EQ(held, rows.size()) << "definition: every constant found its row";
}

}  // namespace facts_test
