#pragma once

#include <string>

#include "scheduler/terrain/elevation_grid.hpp"

namespace ampturn::terrain {

/// Heights of a file: an ESRI ASCII grid, or a GeoTIFF (by its first bytes), which the program `gdal_translate` of GDAL
/// turns into one, where it is installed. InputError for a file that will not do, for a GeoTIFF without GDAL, and for
/// one that GDAL refuses.
ElevationGrid read_elevation(const std::string& path, GridUnit unit);

}  // namespace ampturn::terrain
