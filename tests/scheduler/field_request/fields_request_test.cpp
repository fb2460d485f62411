#include "scheduler/field_request/fields_request.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/json.hpp"
#include "tests/paths.hpp"

namespace {

using namespace ampturn::base;
using namespace ampturn::field_request;
using Json = nlohmann::json;

std::string open_cases() {
    std::ostringstream text;
    text << std::ifstream(ampturn::test::source_path("tests/reference/em/cases_open.json")).rdbuf();
    return text.str();
}

Json one_case() { return Json::parse(open_cases())["dipole_cases"][9]; }

TEST(FieldsRequest, AnswersTheReferenceCasesWithinTolerance) {
    const FieldsAnswer answer = answer_fields_request(open_cases(), "cases_open.json");
    EXPECT_EQ(answer.case_count, 62u + 20u + 30u);
    EXPECT_EQ(answer.comparisons.size(), answer.case_count);
    EXPECT_TRUE(all_hold(answer)) << describe_comparisons(answer);
    for (const FieldsComparison& c : answer.comparisons) {
        // What the engine is asked for by default; a tenth of what the reference comparison allows.
        EXPECT_LE(c.e_error_rel, 1e-8) << c.id;
        EXPECT_LE(c.h_error_rel, 1e-8) << c.id;
    }
}

TEST(FieldsRequest, ReturnsTheSameKeysWithMethodAndErrorEstimate) {
    Json request = one_case();
    request.erase("fields");
    request.erase("method");
    request.erase("error_estimate_abs");
    const FieldsAnswer answer = answer_fields_request(request.dump(), "x.json");
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
    const FieldsAnswer answer = answer_fields_request(request.dump(), "x.json");
    EXPECT_FALSE(all_hold(answer));
    EXPECT_NE(describe_comparisons(answer).find("0 of 1"), std::string::npos) << describe_comparisons(answer);
}

InputProblem complaint(const std::string& text) {
    try {
        (void)answer_fields_request(text, "x.json");
    } catch (const InputError& error) {
        EXPECT_EQ(error.problems().size(), 1u);
        return error.problems().front();
    }
    ADD_FAILURE() << "accepted: " << text;
    return {};
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

}  // namespace
