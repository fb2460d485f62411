// libFuzzer target: a request of `fields`, cases or points by lists, as JSON. What is asked for is computed as far as it is little; an
// answer to cases is a request whose reference outputs hold.
#include <string>
#include <vector>

#include "scheduler/field_request/fields_request.hpp"
#include "scheduler/field_request/point_rows.hpp"
#include "tests/fuzz/accepted.hpp"
#include "tests/fuzz/mutate.hpp"

namespace {

using namespace ampturn;
using namespace ampturn::field_request;

constexpr std::size_t rows_max = 4, cases_max = 2;

std::string bytes_of(const FieldPoints& points, PointFormat format) {
    std::string all;
    write_points(points, format, 1, [&](std::string_view piece) { all += piece; });
    return all;
}

void answer_points(const FieldPoints& points) {
    if (points.row_count() > rows_max) return;
    for (const PointFormat format : {PointFormat::json, PointFormat::csv, PointFormat::float64}) {
        const std::string bytes = bytes_of(points, format);
        fuzz::must(!bytes.empty() || format == PointFormat::float64, "an answer is something");
        if (format == PointFormat::float64)
            fuzz::must(bytes.size() == points.row_count() * point_columns * sizeof(double),
                       "as long as it is said to be");
    }
}

std::size_t count_of(std::string_view text, std::string_view word) {
    std::size_t count = 0;
    for (std::size_t at = text.find(word); at != std::string_view::npos; at = text.find(word, at + 1))
        ++count;
    return count;
}

}  // namespace

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t size_max,
                                               unsigned seed) {
    static const std::vector<std::string> keys{"dipole_cases",
                                               "loop_cases",
                                               "impedance_cases",
                                               "model",
                                               "models",
                                               "resistivity_ohm_m",
                                               "thickness_m",
                                               "relative_permittivity",
                                               "relative_permeability",
                                               "anisotropy",
                                               "polarisable",
                                               "wavenumbers",
                                               "frequency_Hz",
                                               "frequencies_Hz",
                                               "sources",
                                               "loop",
                                               "vertices_xyz_m",
                                               "turns",
                                               "current_A",
                                               "moment_A_m2",
                                               "source_height_m",
                                               "x_m",
                                               "y_m",
                                               "z_m",
                                               "offset_m",
                                               "bearing_deg",
                                               "receiver",
                                               "receivers",
                                               "tolerance",
                                               "integration",
                                               "id",
                                               "fields"};
    return fuzz::mutated(data, size, size_max, seed, [](const std::string& text, fuzz::Random& random) {
        return fuzz::changed_json(text, keys, random);
    });
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string text(fuzz::text_of_bytes(data, size));
    fuzz::accepted([&] {
        FieldsRequest request(text, "fuzz.json");
        if (const auto points = request.points()) return answer_points(*points);
        if (count_of(text, "model") > cases_max) return;
        const std::string answer = std::move(request).answer().json;
        FieldsAnswer again;
        fuzz::must(fuzz::accepted([&] { again = FieldsRequest(answer, "answer.json").answer(); }),
                   "an answer is a request");
        fuzz::must(all_hold(again), "whose outputs hold");
    });
    return 0;
}
