#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ampturn::terrain {

/// A point in the coordinates of a grid: longitude and latitude in degrees, or metres east and north.
struct GridPoint {
    double east = 0, north = 0;
};

/// How a grid's coordinates are to be taken.
enum class GridUnit { degree, metre };

/// Heights in metres on a regular grid.
struct ElevationGrid {
    GridUnit unit = GridUnit::metre;
    std::size_t columns = 0, rows = 0;
    double west = 0, south = 0;            // outer edges of the outermost cells
    double step_east = 0, step_north = 0;  // of a cell, above 0
    std::vector<float> height_m;           // the northernmost row first, each from west to east; NaN: a hole

    /// Bilinear between the cells' centres, level in the outer half of the outermost cells; nothing outside and
    /// where a hole takes part.
    std::optional<double> at(const GridPoint& point) const;
    /// Steepest slope in degrees from the horizontal, by differences over a cell to either side.
    std::optional<double> slope_deg(const GridPoint& point) const;
    /// Metres to a step east and to a step north there: on the WGS84 ellipsoid for degrees.
    GridPoint step_m(double north) const;
};

/// An ESRI ASCII grid: header of ncols, nrows, xllcorner or xllcenter, yllcorner or yllcenter, cellsize (or dx and dy)
/// and perhaps NODATA_value (-9999 without it), then nrows times ncols heights. Format from memory. InputError with
/// file, line and column for what is missing, too much or no number, and for degrees that are no place on the globe.
ElevationGrid parse_ascii_grid(std::string_view text, const std::string& path, GridUnit unit);

}  // namespace ampturn::terrain
