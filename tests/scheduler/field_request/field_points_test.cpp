#include "scheduler/field_request/field_points.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <nlohmann/json.hpp>
#include <numbers>
#include <sstream>

#include "scheduler/base/input_error.hpp"
#include "scheduler/field_request/fields_request.hpp"
#include "scheduler/field_request/point_rows.hpp"

namespace field_points_test {

using namespace ampturn::field_request;
using ampturn::base::InputError;
using ampturn::base::InputProblem;
using Json = nlohmann::json;

/// Two grounds, two frequencies, three receivers, a dipole and a loop.
Json request() {
    return {{"models",
             {{{"resistivity_ohm_m", {100}}, {"thickness_m", Json::array()}},
              {{"resistivity_ohm_m", {50, 800}}, {"thickness_m", {30}}}}},
            {"wavenumbers", "full"},
            {"frequencies_Hz", {1000, 20000}},
            {"sources",
             {{{"moment_A_m2", {10, 5, 0}}, {"source_height_m", 2}, {"x_m", 3}, {"y_m", -4}},
              {{"loop",
                {{"turns", 3},
                 {"current_A", 2},
                 {"vertices_xyz_m", {{0, -2, -1}, {0, 2, -1}, {0, 2, -5}, {0, -2, -5}}}}}}}},
            {"receivers", {{"x_m", {120, 200.5, 800}}, {"y_m", {30, -80, 10}}, {"z_m", {0, -1, 0}}}}};
}

FieldPoints points_of(const Json& json) { return FieldsRequest(json.dump(1), "x.json").points().value(); }

std::string written(const FieldPoints& points, PointFormat format, unsigned threads = 1) {
    std::string text;
    write_points(points, format, threads, [&](std::string_view piece) { text += piece; });
    return text;
}

TEST(FieldPoints, AreTheFieldsOfEachWithEach) {
    // Identity: the engine asked for one point at a time.
    const FieldPoints points = points_of(request());
    const Json answer = Json::parse(written(points, PointFormat::json));
    EXPECT_EQ(answer["shape"], (Json{2, 2, 3, 2, 14}));
    ASSERT_EQ(answer["rows"].size(), points.row_count());
    std::size_t row = 0;
    for (const auto& ground : points.grounds)
        for (const double f : points.frequencies_hz)
            for (const auto& receiver : points.receivers.some(0, points.receivers.size()))
                for (const auto& source : points.sources) {
                    const auto expected =
                        ampturn::model::fields::field(ground, f, source, receiver, points.options);
                    const Json& got = answer["rows"][row++];
                    ASSERT_EQ(got.size(), point_columns);
                    const auto& e = expected.fields;
                    const std::complex<double> parts[] = {e.ex_v_per_m, e.ey_v_per_m, e.hx_a_per_m,
                                                          e.hy_a_per_m, e.hz_a_per_m};
                    const double e_size = std::max(std::abs(parts[0]), std::abs(parts[1])),
                                 h_size =
                                     std::max({std::abs(parts[2]), std::abs(parts[3]), std::abs(parts[4])});
                    for (std::size_t k = 0; k < 5; ++k) {
                        const std::complex<double> value(got[2 * k].get<double>(),
                                                         got[2 * k + 1].get<double>());
                        EXPECT_LE(std::abs(value - parts[k]), 2e-7 * (k < 2 ? e_size : h_size))
                            << row << " " << k;
                    }
                    EXPECT_EQ(got[13], expected.dipoles);
                }
}

TEST(FieldPoints, ComeInThreeFormatsWithTheSameNumbers) {
    // Definition: a row is a ground, a frequency, a receiver and a source; text has nine digits of what is binary.
    const FieldPoints points = points_of(request());
    const Json answer = Json::parse(written(points, PointFormat::json));
    const std::string binary = written(points, PointFormat::float64);
    ASSERT_EQ(binary.size(), points.row_count() * point_columns * sizeof(double));
    std::istringstream lines(written(points, PointFormat::csv));
    std::string line;
    std::getline(lines, line);
    EXPECT_TRUE(line.starts_with("ground,frequency_Hz,receiver,source,x_m,y_m,z_m,Ex_re_V_per_m,")) << line;
    EXPECT_TRUE(line.ends_with("integration,dipoles"));
    for (std::size_t row = 0; row < points.row_count(); ++row) {
        ASSERT_TRUE(std::getline(lines, line));
        std::istringstream cells(line);
        std::vector<double> values;
        for (std::string cell; std::getline(cells, cell, ',');) values.push_back(std::stod(cell));
        ASSERT_EQ(values.size(), 7 + point_columns);
        const std::size_t source = row % 2, receiver = row / 2 % 3, frequency = row / 6 % 2,
                          ground = row / 12;
        EXPECT_EQ(values[0], ground + 1);
        EXPECT_EQ(values[1], points.frequencies_hz[frequency]);
        EXPECT_EQ(values[2], receiver + 1);
        EXPECT_EQ(values[3], source + 1);
        EXPECT_EQ(values[6], points.receivers[receiver].z_m);
        for (std::size_t k = 0; k < point_columns; ++k) {
            double raw = 0;
            std::memcpy(&raw, binary.data() + (row * point_columns + k) * sizeof raw, sizeof raw);
            EXPECT_EQ(values[7 + k], answer["rows"][row][k].get<double>());
            EXPECT_NEAR(raw, values[7 + k], 1e-8 * std::abs(raw));
        }
    }
    const Json described = Json::parse(describe_points(points, PointFormat::float64, "x.f64", binary.size()));
    EXPECT_EQ(described["bytes"], binary.size());
    EXPECT_EQ(described["shape"], answer["shape"]);
    EXPECT_EQ(described["columns"].size(), point_columns);
}

TEST(FieldPoints, DoNotDependOnThreads) {
    // Law; and offset and bearing are a place by their definition.
    Json many = request();
    many["models"].erase(1);
    many["sources"].erase(1);
    Json x = Json::array();
    for (int i = 0; i < 9001; ++i) x.push_back(50 + 0.37 * i);
    many["receivers"] = {{"offset_m", x}, {"bearing_deg", 33}};
    const FieldPoints points = points_of(many);
    EXPECT_NEAR(points.receivers[10].y_m, 53.7 * std::sin(33 * std::numbers::pi / 180), 1e-9);
    const std::string one = written(points, PointFormat::float64);
    for (const unsigned threads : {2u, 3u, 16u})
        EXPECT_TRUE(written(points, PointFormat::float64, threads) == one) << threads;
}

TEST(FieldPoints, LongListsOfReceiversAreTheNumbersWritten) {
    // Identity: the numbers of the request, packed or not, whole ones and others.
    for (const std::size_t count : {999u, 1000u, 1001u, 2500u}) {
        Json many = request(), x = Json::array(), y = Json::array(), z = Json::array();
        for (std::size_t i = 0; i < count; ++i) {
            x.push_back(100 + i);
            y.push_back(i % 3 == 0 ? Json(7) : Json(-0.1 * static_cast<double>(i)));
            z.push_back(-static_cast<int>(i % 2));
        }
        many["receivers"] = {{"x_m", x}, {"y_m", y}, {"z_m", z}};
        const FieldPoints points = points_of(many);
        ASSERT_EQ(points.receivers.size(), count);
        for (std::size_t i = 0; i < count; ++i) {
            const auto receiver = points.receivers[i];
            ASSERT_EQ(receiver.x_m, x[i].get<double>()) << i;
            ASSERT_EQ(receiver.y_m, y[i].get<double>()) << i;
            ASSERT_EQ(receiver.z_m, z[i].get<double>()) << i;
        }
    }
}

TEST(FieldPoints, SayWhatIsWrongInALongList) {
    // Definition: the place of the value, whatever the list is held as.
    const auto complaint = [](const std::string& list, const std::string& others) -> InputProblem {
        const std::string text =
            R"({"model": {"resistivity_ohm_m": [100], "thickness_m": []}, "wavenumbers": "full", "frequencies_Hz": [1000],
"sources": [{"moment_A_m2": [1, 0, 0], "source_height_m": 2}], "receivers":
{"x_m": [)" +
            list + "],\n" + others + "}}";
        try {
            (void)FieldsRequest(text, "x.json").points();
        } catch (const InputError& error) {
            return error.problems().front();
        }
        ADD_FAILURE() << "accepted";
        return {};
    };
    std::string list = "200";
    for (int i = 1; i < 5000; ++i) list += i == 4321 ? ",\nODD" : ",200";
    const auto with = [&](const std::string& odd) {
        std::string text = list;
        return text.replace(text.find("ODD"), 3, odd);
    };
    const std::string y = R"("y_m": 0)";
    struct Row {
        std::string odd, others, key, found;
        int line, column;
    };
    for (const Row& row : std::vector<Row>{
             {"\"far\"", y, "receivers.x_m[4321]", "\"far\"", 4, 1},
             {"[200, 300]", y, "receivers.x_m[4321]", "[200,300]", 4, 1},
             {"{\"a\": 1}", y, "receivers.x_m[4321]", "{\"a\":1}", 4, 1},
             {"null", y, "receivers.x_m[4321]", "null", 4, 1},
             {"1e999", y, "", "1e999", 4, 5},
             {"3e4", y, "receivers", "receiver.offset_m 30000 at receiver 4322 of source 1", 3, 1},
             {"200", R"("y_m": [1, 2])", "receivers.y_m", "2 values", 5, 8},
             {"200", R"("z_m": 0)", "receivers", "no \"y_m\"", 3, 1},
             {"200", R"("y_m": 0, "offset_m": [1])", "receivers", "offset_m beside x_m or y_m", 3, 1}}) {
        const InputProblem problem = complaint(with(row.odd), row.others);
        EXPECT_EQ(problem.key, row.key) << row.odd;
        EXPECT_EQ(problem.found, row.found) << row.odd;
        EXPECT_EQ(problem.position.line, row.line) << row.odd;
        EXPECT_EQ(problem.position.column, row.column) << row.odd;
    }
}

TEST(FieldPoints, EveryKeyChangesSomething) {
    const std::string plain = written(points_of(request()), PointFormat::float64);
    const auto differs = [&](const char* pointer, const Json& value) {
        Json changed = request();
        changed[Json::json_pointer(pointer)] = value;
        EXPECT_TRUE(written(points_of(changed), PointFormat::float64) != plain) << pointer;
    };
    differs("/models/1/thickness_m/0", 40);
    differs("/models/0/relative_permittivity", Json{9});
    differs("/wavenumbers", "quasi_static");
    differs("/tolerance", 1e-4);
    differs("/integration", "reference");
    differs("/frequencies_Hz/1", 21000);
    differs("/sources/0/x_m", 4);
    differs("/sources/0/y_m", 4);
    differs("/sources/1/loop/turns", 4);
    differs("/receivers/y_m", 31);
    differs("/receivers/z_m", 0);
}

TEST(FieldPoints, SayWhatIsWrong) {
    const auto complaint = [](const char* pointer, const Json& value) -> InputProblem {
        Json changed = request();
        if (value.is_null())
            changed.erase(pointer + 1);
        else
            changed[Json::json_pointer(pointer)] = value;
        try {
            (void)points_of(changed);
        } catch (const InputError& error) {
            return error.problems().front();
        }
        ADD_FAILURE() << pointer << " accepted";
        return {};
    };
    struct Row {
        const char* pointer;
        Json value;
        const char *key, *found;
    };
    const Row rows[] = {{"/models", Json::array(), "models", "no ground"},
                        {"/models/1/resistivity_ohm_m/1", -1, "models[1].resistivity_ohm_m[1]", "-1"},
                        {"/model", Json::object(), "", "both or neither"},
                        {"/frequencies_Hz/1", 0.5, "frequencies_Hz[1]", "0.5"},
                        {"/frequencies_Hz", Json::array(), "frequencies_Hz", "no frequency"},
                        {"/sources", Json::array(), "sources", "no source"},
                        {"/sources/0/colour", 1, "sources[0]", "unknown key"},
                        {"/sources/0/source_height_m", -1, "sources[0].source_height_m", "-1"},
                        {"/sources", nullptr, "", "no \"sources\""},
                        {"/receivers/x_m/1", 3e4, "receivers", "at receiver 2 of source 1"},
                        {"/receivers/y_m", Json{1, 2}, "receivers.y_m", "2 values"},
                        {"/receivers/x_m", Json::array(), "receivers.x_m", "no receiver"},
                        {"/receivers/offset_m", Json{100}, "receivers", "offset_m beside"},
                        {"/receivers/x_m/2", "far", "receivers.x_m[2]", "\"far\""},
                        {"/colour", 1, "", "unknown key"},
                        {"/tolerance", 1, "tolerance", "1"}};
    for (const Row& row : rows) {
        const InputProblem problem = complaint(row.pointer, row.value);
        EXPECT_EQ(problem.key, row.key);
        EXPECT_NE(problem.found.find(row.found), std::string::npos) << problem.found;
        EXPECT_GE(problem.position.line, 1) << row.pointer;
    }
}

}  // namespace field_points_test
