#include "scheduler/reference/transmitter_cases.hpp"
#include "scheduler/base/input_error.hpp"
#include "tests/outside_check.hpp"
#include "tests/paths.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>
#include <set>
#include <utility>

namespace transmitter_cases_test {

using ampturn::reference::TransmitterCaseResult;
using nlohmann::json;

json load(const std::string& file) {
    std::ifstream in(ampturn::test::source_path("tests/reference/rig/") + file);
    return json::parse(in);
}

constexpr const char* files[] = {"wire.json",     "inductance.json", "bridge.json",
                                 "battery.json",  "thermal.json",    "frequency.json",
                                 "exposure.json", "signal.json",     "chain.json"};

// One test per kind: every case of tests/reference/rig/*.json, by id, within the limits of its README.
struct Kind {
    std::string file, kind;
};
std::vector<Kind> kinds_in_files() {
    std::vector<Kind> out;
    for (const char* file : files) {
        std::set<std::string> seen;
        const json document = load(file);
        for (const json& c : document["cases"])
            if (seen.insert(c["kind"].get<std::string>()).second) out.push_back({file, c["kind"]});
    }
    return out;
}

void PrintTo(const Kind& k, std::ostream* out) { *out << k.file << " " << k.kind; }

class TransmitterReference : public testing::TestWithParam<Kind> {};

TEST_P(TransmitterReference, CasesAgree) {
    json document = load(GetParam().file);
    json chosen = json::array();
    for (const json& c : document["cases"])
        if (c["kind"] == GetParam().kind) chosen.push_back(c);
    document["cases"] = chosen;
    const auto results = ampturn::reference::run_transmitter_cases(document);
    ampturn::test::OutsideCheck check("transmitter: " + GetParam().kind,
                                      "tests/reference/rig/" + GetParam().file, "of its limit");
    for (const TransmitterCaseResult& r : results) {
        check.error(r.worst_of_limit, 1, r.id + " " + r.worst_key);
        EXPECT_TRUE(r.pass) << r.id << " (tests/reference/rig/" << GetParam().file << "): " << r.message;
    }
}

INSTANTIATE_TEST_SUITE_P(Kinds, TransmitterReference, testing::ValuesIn(kinds_in_files()),
                         [](const auto& tested) { return tested.param.kind; });

TEST(TransmitterCases, AreAllThere) {
    std::size_t count = 0;
    for (const char* file : files) count += load(file)["cases"].size();
    EXPECT_EQ(count, 115u);
    EXPECT_EQ(kinds_in_files().size(), 46u);
}

TEST(TransmitterCases, EveryOutputChangedByTenPerCentIsAMiss) {
    // Each number in turn, so that a comparison that skips a key cannot pass unseen.
    int changed = 0;
    for (const char* file : {"bridge.json", "thermal.json", "exposure.json"}) {
        const json document = load(file);
        for (const json& c : document["cases"]) {
            for (const auto& [key, value] : c["outputs"].items()) {
                if (!value.is_number() || value.get<double>() == 0) continue;
                if (std::abs(value.get<double>()) < 1e-14) continue;  // zero within the arithmetic
                json one = c;
                one["outputs"][key] = value.get<double>() * 1.1;
                const auto results =
                    ampturn::reference::run_transmitter_cases({{"cases", json::array({one})}});
                EXPECT_FALSE(results[0].pass) << c["id"] << " " << key;
                ++changed;
            }
        }
    }
    EXPECT_GT(changed, 150);
}

// Each kind carries its own limits: an output changed by half its limit passes, by twice it is a miss.
TEST(TransmitterCases, EachKindKeepsItsOwnLimits) {
    struct Row {
        const char *file, *kind, *output;
        double relative, absolute;
    };
    constexpr Row rows[] = {
        {"wire.json", "dc_awg", "/area_mm2", 1e-6, 0},
        {"wire.json", "skin_ratio", "/rac_over_rdc", 1e-4, 0},
        {"exposure.json", "safe_distance", "/B_centre_T", 1e-6, 0},
        {"exposure.json", "safe_distance", "/table/1/general_public_side_distance_m", 1e-5, 0},
        {"frequency.json", "timer", "/table/1/error_ppm", 0, 1e-6},
    };
    for (const Row& row : rows) {
        const json document = load(row.file);
        const auto& cases = document["cases"];
        const auto found =
            std::find_if(cases.begin(), cases.end(), [&](const json& c) { return c["kind"] == row.kind; });
        ASSERT_NE(found, cases.end()) << row.kind;
        const json::json_pointer where("/outputs" + std::string(row.output));
        const double value = found->at(where).get<double>();
        const double limit = std::max(row.relative * std::abs(value), row.absolute);
        for (const auto& [share, passes] : {std::pair{0.5, true}, {2.0, false}}) {
            json one = *found;
            one[where] = value + share * limit;
            const auto results = ampturn::reference::run_transmitter_cases({{"cases", json::array({one})}});
            EXPECT_EQ(results[0].pass, passes)
                << row.kind << " " << row.output << " off by " << share << " of its limit";
        }
    }
}

// Amplitudes averaged over N records have N times the signal to noise of one; the ratio of averaged spectra has not.
TEST(TransmitterCases, BiasOfTheImpedanceFallsWithTheRecords) {
    const json inputs{{"snr_E_power", 2.0}, {"snr_H_power", 3.0}, {"independent_records", 4}};
    // Closed form, as the reference's conventions have it for one record: 1 - exp(-SNR), (E1(a) - E1(b))/2, 1/(1 + 1/SNR).
    const json outputs{{"mean_Zhat_over_Z", 1 - std::exp(-12.0)},
                       {"mean_ln_absZ_bias", (-std::expint(-8.0) + std::expint(-12.0)) / 2},
                       {"cross_spectral_EH_HH_bias_factor", 0.75}};
    const auto results =
        ampturn::reference::run_transmitter_cases({{"cases", json::array({{{"id", "records"},
                                                                           {"kind", "impedance_error"},
                                                                           {"inputs", inputs},
                                                                           {"outputs", outputs}}})}});
    EXPECT_TRUE(results[0].pass) << results[0].message;
    const json window{{"id", "w"},
                      {"kind", "window"},
                      {"inputs", {{"window", "tukey_0.5"}}},
                      {"outputs", {{"enbw_bins", (1 - 5.0 / 16) / (0.75 * 0.75)}}}};
    const json cosine{{"id", "c"},
                      {"kind", "window"},
                      {"inputs", {{"window", "cosine_2"}}},
                      {"outputs", {{"enbw_bins", 1.5}}}};
    for (const auto& r :
         ampturn::reference::run_transmitter_cases({{"cases", json::array({window, cosine})}}))
        EXPECT_TRUE(r.pass) << r.id << ": " << r.message << " closed form";
}

TEST(TransmitterCases, NullAndNumberDoNotMatch) {
    json c = load("thermal.json")["cases"][0];
    c["outputs"]["time_winding_to_75C_s"] = 100.0;
    EXPECT_FALSE(ampturn::reference::run_transmitter_cases({{"cases", json::array({c})}})[0].pass);
    c = load("thermal.json")["cases"][1];
    c["outputs"]["time_winding_to_75C_s"] = nullptr;
    EXPECT_FALSE(ampturn::reference::run_transmitter_cases({{"cases", json::array({c})}})[0].pass);
}

TEST(TransmitterCases, SaysWhatIsUnknownOrMissing) {
    const auto unknown = ampturn::reference::run_transmitter_cases(
        {{"cases",
          json::array(
              {{{"id", "x-1"}, {"kind", "warp_drive"}, {"inputs", json::object()}, {"outputs", {}}}})}});
    EXPECT_FALSE(unknown[0].pass);
    EXPECT_EQ(unknown[0].message, "kind not known to this version");
    const auto missing = ampturn::reference::run_transmitter_cases(
        {{"cases", json::array({{{"id", "x-2"},
                                 {"kind", "dc_awg"},
                                 {"inputs", {{"awg", 10}}},
                                 {"outputs", {{"area_mm2", 1}}}}})}});
    EXPECT_FALSE(missing[0].pass);
    EXPECT_NE(missing[0].message.find("temperature_C"), std::string::npos) << missing[0].message;
    EXPECT_TRUE(missing[0].message.starts_with("cases[0].inputs: ")) << missing[0].message;
    const std::string report = ampturn::reference::transmitter_case_report(unknown);
    EXPECT_NE(report.find("miss: x-1 (warp_drive)"), std::string::npos) << report;
}

TEST(TransmitterCases, SaysWhereARefusedInputStands) {
    const json polygons = load("inductance.json");
    json document{{"cases", json::array()}};
    for (const json& c : polygons["cases"])
        if (c["kind"] == "polygon_self" && c["inputs"].value("shape", "") == "square") {
            document["cases"] = {c, c};
            break;
        }
    ASSERT_EQ(document["cases"].size(), 2u);
    document["cases"][1]["inputs"].erase("vertices_m");  // which would go before the shape
    document["cases"][1]["inputs"]["shape"] = "blob";
    auto results = ampturn::reference::run_transmitter_cases(document);
    EXPECT_TRUE(results[0].pass) << results[0].message;
    EXPECT_FALSE(results[1].pass);
    EXPECT_TRUE(
        results[1].message.starts_with("cases[1].inputs.shape: found blob, allowed square, rectangle"))
        << results[1].message;
    document["cases"][1]["inputs"]["shape"] = "regular_polygon";
    document["cases"][1]["inputs"]["sides"] = 1e300;
    results = ampturn::reference::run_transmitter_cases(document);
    EXPECT_EQ(results[1].message, "cases[1].inputs.sides: found 1e+300, allowed a whole number");
    // What the model refuses has the model's name.
    document["cases"][1]["inputs"]["shape"] = "circle";
    document["cases"][1]["inputs"]["radius_m"] = -3;
    results = ampturn::reference::run_transmitter_cases(document);
    EXPECT_FALSE(results[1].pass);
    EXPECT_EQ(results[1].message, "cases[1].inputs: found radius_m -3, allowed more than 0");
}

TEST(TransmitterCases, RefusesAWindowOfNothing) {
    const json document{{"cases",
                         {{{"id", "w"},
                           {"kind", "window"},
                           {"inputs", {{"cosine_coefficients", json::array()}}},
                           {"outputs", json::object()}}}}};
    EXPECT_EQ(ampturn::reference::run_transmitter_cases(document)[0].message,
              "cases[0].inputs.cosine_coefficients: found an empty list, allowed at least one number");
}

TEST(TransmitterCases, AddsNoHarmonicsWithoutEnd) {
    json document{{"cases", json::array()}};
    const json exposure = load("exposure.json");
    for (const json& c : exposure["cases"])
        if (c["kind"] == "harmonic_exposure_sum") document["cases"] = json::array({c});
    ASSERT_EQ(document["cases"].size(), 1u);
    for (const double frequency_hz : {2.8e-7, 0.0, -5.0}) {
        document["cases"][0]["inputs"]["frequency_Hz"] = frequency_hz;
        const auto results = ampturn::reference::run_transmitter_cases(document);
        EXPECT_TRUE(results[0].message.starts_with("cases[0].inputs.frequency_Hz: found "))
            << results[0].message;
    }
}

TEST(TransmitterCases, RefusesADocumentThatIsNoFileOfCases) {
    const auto problem = [](const json& document) {
        try {
            (void)ampturn::reference::run_transmitter_cases(document, "x.json");
        } catch (const ampturn::base::InputError& error) {
            return error.problems().front();
        }
        ADD_FAILURE() << "accepted";
        return ampturn::base::InputProblem{};
    };
    EXPECT_EQ(problem(json::array()).found, "no list named \"cases\"");
    EXPECT_EQ(problem(json::array()).file, "x.json");
    EXPECT_EQ(problem({{"cases", json::array({1})}}).key, "cases[0]");
    const json listed = json::array({{{"id", json::array()}, {"kind", "wire"}}});
    EXPECT_EQ(problem({{"cases", listed}}).key, "cases[0].id");
    EXPECT_EQ(problem({{"cases", listed}}).found, "array");
}

}  // namespace transmitter_cases_test
