#include "scheduler/field_request/point_parts.hpp"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/output_file.hpp"
#include "scheduler/field_request/fields_request.hpp"
#include "scheduler/field_request/point_rows.hpp"
#include "tests/run_program.hpp"

namespace ampturn::field_request {
namespace point_parts_test {

using ampturn::test::read_whole_file;
using ampturn::test::ScratchDirectory;
using Json = nlohmann::json;

const std::string grounds =
    "{\"name\": \"a\", \"resistivity_ohm_m\": [100], \"thickness_m\": []}\n"
    "{\"resistivity_ohm_m\": [30, 900], \"thickness_m\": [35]}\n"
    "{\"resistivity_ohm_m\": [7], \"thickness_m\": []}\n"
    "{\"name\": \"d\", \"resistivity_ohm_m\": [800, 20, 90], \"thickness_m\": [5, 60]}\n"
    "{\"resistivity_ohm_m\": [250], \"thickness_m\": []}\n";

Json request() {
    return {{"wavenumbers", "quasi_static"},
            {"frequencies_Hz", {1000, 20000}},
            {"sources", {{{"moment_A_m2", {10, 5, 0}}, {"source_height_m", 2}}}},
            {"receivers", {{"offset_m", {120, 300}}, {"bearing_deg", 33}}}};
}

FieldPoints points_of(const std::string& part, const Json& asked = request(),
                      const std::string& list = grounds) {
    return FieldsRequest(asked.dump(), "x.json").points(read_grounds(list, "g", part, "--part")).value();
}

std::string rows_of(const FieldPoints& points, PointFormat format, unsigned threads = 1) {
    std::string data;
    write_points(points, format, threads, [&](std::string_view piece) { data += piece; });
    return data;
}

/// The name of the description.
std::string write_part(const ScratchDirectory& folder, const std::string& name, const FieldPoints& points,
                       PointFormat format) {
    const std::string data = rows_of(points, format);
    folder.write(name, data);
    folder.write(name + ".json", describe_points(points, format, name, data.size()));
    return folder.file(name + ".json");
}

TEST(PointParts, TogetherAreTheBytesOfOneRun) {
    // Identity: the same answer, computed in one and in three.
    for (const PointFormat format : {PointFormat::json, PointFormat::csv, PointFormat::float64}) {
        const ScratchDirectory folder;
        const FieldPoints whole = points_of("");
        const std::string data = rows_of(whole, format, 2);
        std::vector<std::string> parts;
        for (const char* part : {"3:2", "0:2", "2:1"})
            parts.push_back(
                write_part(folder, "part" + std::to_string(parts.size()), points_of(part), format));
        merge_points(parts, folder.file("all"));
        EXPECT_TRUE(read_whole_file(folder.file("all")) == data) << type_text(format);
        EXPECT_EQ(read_whole_file(folder.file("all.json")),
                  describe_points(whole, format, "all", data.size()));
    }
}

TEST(PointParts, RowsAreThoseOfTheSameGroundsInTheRequest) {
    // Identity: a list in a file and the same in the request.
    Json asked = request();
    asked["models"] = Json::array();
    std::istringstream lines(grounds);
    for (std::string line; std::getline(lines, line);) {
        Json ground = Json::parse(line);
        ground.erase("name");
        asked["models"].push_back(ground);
    }
    ASSERT_EQ(asked["models"].size(), 5u);
    const FieldPoints own = FieldsRequest(asked.dump(), "x.json").points().value();
    for (const PointFormat format : {PointFormat::csv, PointFormat::float64})
        EXPECT_TRUE(rows_of(points_of(""), format) == rows_of(own, format)) << type_text(format);
    const Json with_list = Json::parse(rows_of(points_of(""), PointFormat::json));
    EXPECT_EQ(with_list["rows"], Json::parse(rows_of(own, PointFormat::json))["rows"]);
    EXPECT_EQ(with_list["grounds"]["names"], (Json{"a", "2", "3", "d", "5"}));
    // A part's rows carry the numbers of its lines.
    const std::string csv = rows_of(points_of("3:1"), PointFormat::csv);
    EXPECT_EQ(csv.find("\n4,1000,1,1,"), csv.find('\n'));
}

TEST(PointParts, SayWhatIsMissingOrDoesNotBelong) {
    const ScratchDirectory folder;
    constexpr PointFormat format = PointFormat::float64;
    const std::string a = write_part(folder, "a", points_of("0:2"), format),
                      b = write_part(folder, "b", points_of("2:1"), format),
                      c = write_part(folder, "c", points_of("3:2"), format);
    const auto refusal = [&](const std::vector<std::string>& parts) -> std::string {
        try {
            merge_points(parts, folder.file("all"));
        } catch (const base::InputError& error) {
            EXPECT_FALSE(std::filesystem::exists(folder.file("all")));
            EXPECT_FALSE(std::filesystem::exists(folder.file("all.json")));
            return text_of(error.problems().front());
        }
        std::filesystem::remove(folder.file("all"));
        std::filesystem::remove(folder.file("all.json"));
        return "";
    };
    EXPECT_EQ(refusal({a, b, c}), "");
    EXPECT_NE(refusal({a, c}).find("c.json: found no part with the grounds 3, "), std::string::npos);
    EXPECT_NE(refusal({a, b}).find("b.json: found no part with the grounds 4 to 5, "), std::string::npos);
    EXPECT_NE(refusal({a, b, b, c}).find("what is before is in " + b + " already"), std::string::npos);
    Json other = request();
    other["tolerance"] = 1e-5;
    EXPECT_NE(
        refusal({a, write_part(folder, "o", points_of("2:1", other), format), c}).find("another request"),
        std::string::npos);
    other = request();
    other["sources"][0]["source_height_m"] = 3;  // the layout is the same
    EXPECT_NE(
        refusal({a, write_part(folder, "o", points_of("2:1", other), format), c}).find("another request"),
        std::string::npos);
    EXPECT_NE(refusal({a, write_part(folder, "o", points_of("2:1", request(), grounds + grounds), format), c})
                  .find("list of grounds"),
              std::string::npos);
    EXPECT_NE(refusal({a, write_part(folder, "o", points_of("2:1"), PointFormat::csv), c}).find("or format"),
              std::string::npos);
    EXPECT_NE(refusal({folder.write("rows", "1,2\n")}).find("rows: found something else"), std::string::npos);
    std::string version = read_whole_file(b);
    version.replace(version.find("\"version\": \"") + 12, 1, "9");
    EXPECT_NE(refusal({a, folder.write("v.json", version), c}).find("rows of version 9"), std::string::npos);
    for (const char* bytes : {"-1e300", "1e300", "0.5", "-8"}) {
        Json described = Json::parse(read_whole_file(b));
        described["bytes"] = Json::parse(bytes);
        EXPECT_NE(
            refusal({a, folder.write("n.json", described.dump()), c}).find("allowed a whole number, 0 to"),
            std::string::npos)
            << bytes;
    }
    // A part that died while its data were copied, or has none.
    const std::string data = read_whole_file(folder.file("c"));
    folder.write("c", data.substr(0, data.size() - 100));
    EXPECT_NE(refusal({a, b, c}).find("the part of the grounds 4 to 5 is not whole, allowed a whole part"),
              std::string::npos);
    std::filesystem::remove(folder.file("c"));
    EXPECT_NE(refusal({a, b, c}).find("c: found nothing that can be read, of the grounds 4 to 5"),
              std::string::npos);
    // Other bytes of the same length.
    const std::string text = write_part(folder, "t", points_of(""), PointFormat::csv);
    std::string rows = read_whole_file(folder.file("t"));
    rows[0] = 'G';
    folder.write("t", rows);
    EXPECT_NE(refusal({text}).find("t: found another beginning"), std::string::npos);
}

TEST(PointParts, AListAndOwnGroundsAreNotBoth) {
    Json asked = request();
    asked["model"] = {{"resistivity_ohm_m", {100}}, {"thickness_m", Json::array()}};
    EXPECT_THROW((void)points_of("", asked), base::InputError);
}

}  // namespace point_parts_test
}  // namespace ampturn::field_request
