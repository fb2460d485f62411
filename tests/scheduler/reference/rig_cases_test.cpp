#include "scheduler/reference/rig_cases.hpp"
#include "tests/paths.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <set>

namespace {

using ampturn::plan::RigCaseResult;
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

class RigReference : public testing::TestWithParam<Kind> {};

TEST_P(RigReference, CasesAgree) {
    json document = load(GetParam().file);
    json chosen = json::array();
    for (const json& c : document["cases"])
        if (c["kind"] == GetParam().kind) chosen.push_back(c);
    document["cases"] = chosen;
    const auto results = ampturn::plan::run_rig_cases(document);
    ASSERT_FALSE(results.empty());
    for (const RigCaseResult& r : results)
        EXPECT_TRUE(r.pass) << r.id << " (tests/reference/rig/" << GetParam().file << "): " << r.message;
}

INSTANTIATE_TEST_SUITE_P(Kinds, RigReference, testing::ValuesIn(kinds_in_files()),
                         [](const auto& tested) { return tested.param.kind; });

TEST(RigCases, AreAllThere) {
    std::size_t count = 0;
    for (const char* file : files) count += load(file)["cases"].size();
    EXPECT_EQ(count, 115u);
    EXPECT_EQ(kinds_in_files().size(), 46u);
}

TEST(RigCases, EveryOutputChangedByTenPerCentIsAMiss) {
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
                const auto results = ampturn::plan::run_rig_cases({{"cases", json::array({one})}});
                EXPECT_FALSE(results[0].pass) << c["id"] << " " << key;
                ++changed;
            }
        }
    }
    EXPECT_GT(changed, 150);
}

TEST(RigCases, NullAndNumberDoNotMatch) {
    json c = load("thermal.json")["cases"][0];
    c["outputs"]["time_winding_to_75C_s"] = 100.0;
    EXPECT_FALSE(ampturn::plan::run_rig_cases({{"cases", json::array({c})}})[0].pass);
    c = load("thermal.json")["cases"][1];
    c["outputs"]["time_winding_to_75C_s"] = nullptr;
    EXPECT_FALSE(ampturn::plan::run_rig_cases({{"cases", json::array({c})}})[0].pass);
}

TEST(RigCases, SaysWhatIsUnknownOrMissing) {
    const auto unknown = ampturn::plan::run_rig_cases(
        {{"cases",
          json::array(
              {{{"id", "x-1"}, {"kind", "warp_drive"}, {"inputs", json::object()}, {"outputs", {}}}})}});
    EXPECT_FALSE(unknown[0].pass);
    EXPECT_EQ(unknown[0].message, "kind not known to this version");
    const auto missing =
        ampturn::plan::run_rig_cases({{"cases", json::array({{{"id", "x-2"},
                                                              {"kind", "dc_awg"},
                                                              {"inputs", {{"awg", 10}}},
                                                              {"outputs", {{"area_mm2", 1}}}}})}});
    EXPECT_FALSE(missing[0].pass);
    EXPECT_NE(missing[0].message.find("temperature_C"), std::string::npos) << missing[0].message;
    EXPECT_THROW(ampturn::plan::run_rig_cases(json::array()), std::invalid_argument);
    const std::string report = ampturn::plan::rig_case_report(unknown);
    EXPECT_NE(report.find("miss: x-1 (warp_drive)"), std::string::npos) << report;
}

}  // namespace
