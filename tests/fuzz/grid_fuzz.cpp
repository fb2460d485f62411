// libFuzzer target: an ESRI ASCII grid of heights, in metres and in degrees; a grid that is accepted can be asked anywhere.
#include "scheduler/terrain/elevation_grid.hpp"
#include "tests/fuzz/accepted.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace ampturn;
    for (const terrain::GridUnit unit : {terrain::GridUnit::degree, terrain::GridUnit::metre}) {
        fuzz::accepted([&] {
            const terrain::ElevationGrid grid =
                terrain::parse_ascii_grid(fuzz::text_of_bytes(data, size), "fuzz.asc", unit);
            fuzz::must(grid.columns > 0 && grid.rows > 0, "a grid has cells");
            fuzz::must(grid.height_m.size() == grid.columns * grid.rows, "a height a cell");
            for (const double east : {-0.1, 0.0, 0.37, 1.0, 1.1})
                for (const double north : {-0.1, 0.0, 0.37, 1.0, 1.1}) {
                    const terrain::GridPoint at{
                        grid.west + east * static_cast<double>(grid.columns) * grid.step_east,
                        grid.south + north * static_cast<double>(grid.rows) * grid.step_north};
                    (void)grid.at(at);
                    (void)grid.slope_deg(at);
                }
        });
    }
    return 0;
}
