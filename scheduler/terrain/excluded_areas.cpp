#include "scheduler/terrain/excluded_areas.hpp"

#include <algorithm>
#include <boost/geometry/algorithms/covered_by.hpp>
#include <boost/geometry/strategies/strategies.hpp>

#include "scheduler/terrain/boost_polygon.hpp"

namespace ampturn::terrain {

namespace bg = boost::geometry;

struct ExcludedAreas::Area {
    std::string name;
    BoostPolygon polygon;
    LonLat lowest, highest;  // around it: most places are outside even that
};

ExcludedAreas::ExcludedAreas(const std::vector<Polygon>& polygons) {
    for (const Polygon& p : polygons) {
        LonLat lowest = p.rings.front().front(), highest = lowest;
        for (const LonLat& corner : p.rings.front()) {
            lowest.longitude_deg = std::min(lowest.longitude_deg, corner.longitude_deg);
            lowest.latitude_deg = std::min(lowest.latitude_deg, corner.latitude_deg);
            highest.longitude_deg = std::max(highest.longitude_deg, corner.longitude_deg);
            highest.latitude_deg = std::max(highest.latitude_deg, corner.latitude_deg);
        }
        areas_.push_back({p.name, boost_polygon(p.rings), lowest, highest});
    }
}
ExcludedAreas::~ExcludedAreas() = default;
ExcludedAreas::ExcludedAreas(ExcludedAreas&&) noexcept = default;
ExcludedAreas& ExcludedAreas::operator=(ExcludedAreas&&) noexcept = default;

const std::string* ExcludedAreas::holding(const LonLat& place) const {
    const BoostPoint point(place.longitude_deg, place.latitude_deg);
    for (const Area& area : areas_) {
        const bool near = place.longitude_deg >= area.lowest.longitude_deg &&
                          place.longitude_deg <= area.highest.longitude_deg &&
                          place.latitude_deg >= area.lowest.latitude_deg &&
                          place.latitude_deg <= area.highest.latitude_deg;
        if (near && bg::covered_by(point, area.polygon)) return &area.name;
    }
    return nullptr;
}

}  // namespace ampturn::terrain
