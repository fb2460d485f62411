#include "scheduler/field_request/fields_request.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/json.hpp"
#include "tests/paths.hpp"

namespace fields_request_test {

using namespace ampturn::base;
using namespace ampturn::field_request;
using Json = nlohmann::json;

std::string open_cases() {
    std::ostringstream text;
    text << std::ifstream(ampturn::test::source_path("tests/reference/em/cases_open.json")).rdbuf();
    return text.str();
}

FieldsAnswer answer_of(const std::string& text, const std::string& file, unsigned threads = 1) {
    return FieldsRequest(text, file).answer(threads);
}

InputProblem complaint(const std::string& text) {
    try {
        (void)answer_of(text, "x.json");
    } catch (const InputError& error) {
        EXPECT_EQ(error.problems().size(), 1u);
        return error.problems().front();
    }
    ADD_FAILURE() << "accepted: " << text;
    return {};
}

Json one_case() { return Json::parse(open_cases())["dipole_cases"][9]; }

TEST(FieldsRequest, AnswersTheReferenceCasesWithinTolerance) {
    // By the reference path, each offset by its own contours.
    Json request = Json::parse(open_cases());
    request["integration"] = "reference";
    request["tolerance"] = 1e-9;
    const FieldsAnswer answer = answer_of(request.dump(), "cases_open.json");
    EXPECT_EQ(answer.case_count, 62u + 20u + 30u);
    EXPECT_EQ(answer.comparisons.size(), answer.case_count);
    EXPECT_TRUE(all_hold(answer)) << describe_comparisons(answer);
    for (const FieldsComparison& c : answer.comparisons) {
        // A tenth of what the reference comparison allows.
        EXPECT_LE(c.e_error_rel, 1e-8) << c.id;
        EXPECT_LE(c.h_error_rel, 1e-8) << c.id;
    }
}

TEST(FieldsRequest, AnswersToCasesRepeatWhatMeansNothingThere) {
    // Definition: the request with fields in it, number by number as it was written.
    Json request = one_case(), list = Json::array();
    for (int i = 0; i < 3000; ++i) list.push_back(i);
    request["receivers"] = {{"x_m", list}};
    const std::string answer = answer_of(request.dump(), "x.json").json;
    EXPECT_EQ(Json::parse(answer)["receivers"], request["receivers"]);
    EXPECT_EQ(answer.find("2999.0"), std::string::npos);
}

TEST(FieldsRequest, TheFastWayHoldsWhatItIsAskedFor) {
    for (const double tolerance : {1e-7, 1e-8}) {
        Json request = Json::parse(open_cases());
        if (tolerance != 1e-7) request["tolerance"] = tolerance;
        const FieldsAnswer answer = answer_of(request.dump(), "cases_open.json");
        EXPECT_TRUE(all_hold(answer)) << describe_comparisons(answer);
        for (const FieldsComparison& c : answer.comparisons)
            EXPECT_LE(std::max(c.e_error_rel, c.h_error_rel),
                      std::max(tolerance, c.allowed_rel - 1e-7 + tolerance))
                << c.id;
    }
}

/// 40 cases over one ground, all but the last with the same frequency and source.
Json many_cases() {
    Json cases = Json::array();
    for (int i = 0; i < 40; ++i) {
        Json c = one_case();
        c["id"] = "c" + std::to_string(i);
        c["receiver"] = {{"x_m", 100 + 17 * i}, {"y_m", 40 - 3 * i}, {"z_m", i % 3 == 0 ? -1.5 : 0}};
        for (const char* key : {"fields", "error_estimate_rel_of_vector", "error_estimate_abs"}) c.erase(key);
        cases.push_back(c);
    }
    cases.back()["frequency_Hz"] = 12345;
    return cases;
}

TEST(FieldsRequest, CasesInCommonAreTheCasesOneByOne) {
    // Law: what a case gives is, within the tolerance, what it gives alone, in the place it has in the file, for any number of
    // threads; on request each has its own contours.
    const Json cases = many_cases();
    const Json all = {{"dipole_cases", cases}};
    const std::string text = all.dump();
    const FieldsAnswer together = answer_of(text, "x.json");
    for (const unsigned threads : {2u, 7u}) EXPECT_EQ(answer_of(text, "x.json", threads).json, together.json);
    const Json out = Json::parse(together.json);
    for (std::size_t i = 0; i < cases.size(); ++i) {
        const Json alone = Json::parse(answer_of(cases[i].dump(), "x.json").json);
        const Json& one = out["dipole_cases"][i];
        EXPECT_EQ(one["id"], cases[i]["id"]);
        for (const auto& [field, names] :
             {std::pair{"E", std::vector{"Ex_V_per_m", "Ey_V_per_m"}},
              std::pair{"H", std::vector{"Hx_A_per_m", "Hy_A_per_m", "Hz_A_per_m"}}}) {
            double size = 0, error = 0;
            for (const char* name : names)
                for (const int part : {0, 1}) {
                    const double a = one["fields"][name][part], b = alone["fields"][name][part];
                    size = std::max(size, std::abs(b));
                    error = std::max(error, std::abs(a - b));
                }
            EXPECT_LE(error, 2e-7 * size) << field << " of case " << i;
        }
    }
    EXPECT_EQ(out["dipole_cases"][0]["method"],
              "deformed contours shared by a band of offsets; point dipole");
    Json slow = all;
    slow["integration"] = "reference";
    EXPECT_EQ(Json::parse(answer_of(slow.dump(), "x.json").json)["dipole_cases"][0]["method"],
              "deformed contour; point dipole");
}

TEST(FieldsRequest, TheFirstRefusedCaseOfTheFileIsNamed) {
    Json cases = many_cases();
    cases[30]["receiver"]["x_m"] = 3e4;
    cases[39]["frequency_Hz"] = 0.5;
    EXPECT_EQ(complaint(Json{{"dipole_cases", cases}}.dump(1)).key, "dipole_cases[30].receiver");
    cases[30]["receiver"]["x_m"] = 300;
    EXPECT_EQ(complaint(Json{{"dipole_cases", cases}}.dump(1)).key, "dipole_cases[39].frequency_Hz");
}

TEST(FieldsRequest, ReturnsTheSameKeysWithMethodAndErrorEstimate) {
    Json request = one_case();
    request.erase("fields");
    request.erase("method");
    request.erase("error_estimate_abs");
    const FieldsAnswer answer = answer_of(request.dump(), "x.json");
    EXPECT_TRUE(answer.comparisons.empty());
    EXPECT_NE(describe_comparisons(answer).find("none"), std::string::npos);
    const Json out = Json::parse(answer.json);
    for (const char* key : {"id", "model", "frequency_Hz", "receiver", "fields", "method", "error_estimate",
                            "error_estimate_abs", "error_estimate_rel_of_vector"})
        EXPECT_TRUE(out.contains(key)) << key;
    EXPECT_EQ(out["fields"].size(), 5u);
    EXPECT_EQ(out["model"], request["model"]);
    EXPECT_FALSE(out.contains("independent_check"))
        << "a remark about the reference, not about this computation";
}

TEST(FieldsRequest, CheckFindsAMiss) {
    Json request = one_case();
    auto& hx = request["fields"]["Hx_A_per_m"];
    hx[0] = hx[0].get<double>() * (1 + 1e-5);
    hx[1] = hx[1].get<double>() * (1 + 1e-5);
    const FieldsAnswer answer = answer_of(request.dump(), "x.json");
    EXPECT_FALSE(all_hold(answer));
    EXPECT_NE(describe_comparisons(answer).find("0 of 1"), std::string::npos) << describe_comparisons(answer);
}

TEST(FieldsRequest, SaysWhatIsWrongWhereAndWhatIsAllowed) {
    struct Row {
        const char* pointer;
        Json value;
        const char *key, *found, *allowed;
    };
    const Row rows[] = {
        {"/frequency_Hz", 0.5, "frequency_Hz", "0.5", "1 to 1000000"},
        {"/frequency_Hz", "fast", "frequency_Hz", "\"fast\"", "a number"},
        {"/wavenumbers", "half", "wavenumbers", "\"half\"", "\"full\" or \"quasi_static\""},
        {"/receiver",
         {{"x_m", 3e4}, {"y_m", 4e4}, {"z_m", 0}},
         "receiver",
         "receiver.offset_m 50000",
         "1 to 20000"},
        {"/receiver/z_m", 1, "receiver.z_m", "1", "-1000 to 0"},
        {"/source_height_m", -1, "source_height_m", "-1", "0 to 1000"},
        {"/model/resistivity_ohm_m/0", 0, "model.resistivity_ohm_m[0]", "0", "0.001 to 1000000"},
        {"/model/thickness_m", Json::array({1, 2}), "model.thickness_m", "2 thicknesses", "one fewer"},
        {"/model/relative_permittivity", Json::array({1, 2}), "model.relative_permittivity", "2 values",
         "one a layer"},
        {"/model/colour", "red", "model", "unknown key \"colour\"", "resistivity_ohm_m"},
        {"/moment_A_m2", Json::array({1, 2}), "moment_A_m2", "[1,2]", "three numbers"},
        {"/moment_A_m2", Json::array({0, 0, 0}), "moment_A_m2", "all zero", "a moment"},
        {"/moment_A_m2", Json::array({0, 2e12, 0}), "moment_A_m2[1]", "2e+12", "-1e+12 to 1e+12"},
        {"/receiver", Json::array(), "receiver", "[]", "an object"},
        {"/tolerance", 1e-11, "tolerance", "1e-11", "1e-10 to 0.001"},
        {"/integration", "slow", "integration", "\"slow\"", "\"fast\" or \"reference\""},
    };
    for (const Row& row : rows) {
        Json request = one_case();
        request[Json::json_pointer(row.pointer)] = row.value;
        const std::string text = request.dump(1);
        const InputProblem problem = complaint(text);
        EXPECT_EQ(problem.file, "x.json");
        EXPECT_EQ(problem.key, row.key);
        EXPECT_EQ(problem.found, row.found) << row.key;
        EXPECT_NE(problem.allowed.find(row.allowed), std::string::npos) << row.key << ": " << problem.allowed;
        const Position place = json_positions(text).at(row.key);
        EXPECT_EQ(problem.position.line, place.line) << row.key;
        EXPECT_EQ(problem.position.column, place.column) << row.key;
    }
    Json without = one_case();
    without.erase("model");
    EXPECT_EQ(complaint(without.dump()).found, "no \"model\"");
    EXPECT_EQ(complaint("{\n \"id\": }").position.line, 2);
    EXPECT_EQ(complaint("[]").allowed, "an object");
}

TEST(FieldsRequest, RefusedCornersOfALoopAreNamed) {
    Json request = Json::parse(open_cases())["loop_cases"][0];
    request["loop"]["vertices_xyz_m"][1][2] = 3;
    const InputProblem below = complaint(request.dump(1));
    EXPECT_EQ(below.key, "loop.vertices_xyz_m[1][2]");
    EXPECT_EQ(below.found, "3");
    EXPECT_EQ(below.allowed, "-1000 to 0");
    EXPECT_GT(below.position.line, 1);
}

TEST(FieldsRequest, ComplaintsCarryLineAndColumn) {
    for (const auto& [value, word] :
         {std::pair<Json, std::string>{"far", "\"far\""}, std::pair<Json, std::string>{7.25, "7.25"}}) {
        Json request = one_case();
        request["receiver"]["z_m"] = value;
        const std::string text = request.dump(1);
        const auto at = text.find(word);
        ASSERT_EQ(at, text.rfind(word)) << word;
        const auto start = text.begin() + static_cast<std::ptrdiff_t>(at);
        EXPECT_EQ(complaint(text).position.line, 1 + std::count(text.begin(), start, '\n')) << word;
        EXPECT_EQ(complaint(text).position.column, static_cast<int>(at - text.rfind('\n', at))) << word;
    }
}

}  // namespace fields_request_test
