#include "scheduler/reference/fields_request.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "scheduler/base/input_error.hpp"
#include "tests/paths.hpp"

namespace {

using namespace ampturn::plan;
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

std::string complaint(const std::string& text) {
    try {
        (void)answer_fields_request(text, "x.json");
    } catch (const InputError& error) {
        return error.what();
    }
    return "accepted";
}

TEST(FieldsRequest, SaysWhatIsWrongWhereAndWhatIsAllowed) {
    struct Row {
        const char* pointer;
        Json value;
        const char *key, *allowed;
    };
    const Row rows[] = {
        {"/frequency_Hz", 0.5, "frequency_hz", "1 to 1000000"},
        {"/frequency_Hz", "fast", "frequency_Hz", "a number"},
        {"/wavenumbers", "half", "wavenumbers", "quasi_static"},
        {"/receiver/x_m", 1e6, "offset_m", "1 to 20000"},
        {"/receiver/z_m", 1, "z_m", "-1000 to 0"},
        {"/source_height_m", -1, "height_m", "0 to 1000"},
        {"/model/resistivity_ohm_m/0", 0, "resistivity_ohm_m", "0.001 to 1000000"},
        {"/model/thickness_m", Json::array({1, 2}), "thickness_m", "one fewer"},
        {"/model/relative_permittivity", Json::array({1, 2}), "relative_permittivity", "one a layer"},
        {"/model/colour", "red", "colour", "resistivity_ohm_m"},
        {"/moment_A_m2", Json::array({1, 2}), "moment_A_m2", "three numbers"},
        {"/moment_A_m2", Json::array({0, 0, 0}), "moment_A_m2", "all zero"},
        {"/receiver", Json::array(), "receiver", "an object"},
    };
    for (const Row& row : rows) {
        Json request = one_case();
        request[Json::json_pointer(row.pointer)] = row.value;
        const std::string text = complaint(request.dump(1));
        EXPECT_NE(text.find("x.json:"), std::string::npos) << row.pointer << ": " << text;
        EXPECT_NE(text.find(row.key), std::string::npos) << row.pointer << ": " << text;
        EXPECT_NE(text.find(row.allowed), std::string::npos) << row.pointer << ": " << text;
        EXPECT_EQ(text.find('\n'), std::string::npos) << "one line: " << text;
    }
    Json without = one_case();
    without.erase("model");
    EXPECT_NE(complaint(without.dump()).find("model"), std::string::npos);
    EXPECT_NE(complaint("{\n \"id\": }").find("x.json:2:"), std::string::npos) << complaint("{\n \"id\": }");
    EXPECT_NE(complaint("[]").find("an object"), std::string::npos);
}

TEST(FieldsRequest, ComplaintsCarryTheLine) {
    Json request = one_case();
    request["receiver"]["x_m"] = "far";
    const std::string text = request.dump(1);
    const auto at = text.find("\"far\"");
    const auto line = 1 + std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n');
    EXPECT_NE(complaint(text).find("x.json:" + std::to_string(line) + ":"), std::string::npos)
        << complaint(text);
}

}  // namespace
