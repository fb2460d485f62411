#pragma once

#include <memory>
#include <string>
#include <vector>

#include "scheduler/terrain/geojson_shapes.hpp"

namespace ampturn::terrain {

/// Where no transmitter may stand. A place on the edge of an area is inside it; one in a hole is not.
class ExcludedAreas {
  public:
    explicit ExcludedAreas(const std::vector<Polygon>& polygons);
    ~ExcludedAreas();
    ExcludedAreas(ExcludedAreas&&) noexcept;
    ExcludedAreas& operator=(ExcludedAreas&&) noexcept;

    /// Name of the first area that holds the place, null where none does.
    const std::string* holding(const LonLat& place) const;

  private:
    struct Area;
    std::vector<Area> areas_;
};

}  // namespace ampturn::terrain
