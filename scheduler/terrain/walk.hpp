#pragma once

#include <memory>
#include <vector>

#include "scheduler/terrain/elevation_grid.hpp"

namespace ampturn::terrain {

/// How long people walk between places, as metres of level open ground that would take them as long.
///
/// Tobler (1993): speed goes with exp(-3.5 |S + 0.05|), S the slope, downhill negative; taken over that on level ground.
/// Naismith (1892): an hour for three miles and another for 2000 feet of climb, so that a metre of climb costs as much
/// as 3 * 5280 / 2000 = 7.92 m on the level; going down costs nothing more. Both from memory.

enum class SlopeRule { tobler, naismith };

/// Of a piece of way that rises by `rise_m` over a horizontal distance above 0, walked there and back, half of it: like
/// a leg of the plan, a way holds both ways. Never less than distance_m.
double level_metres(SlopeRule rule, double distance_m, double rise_m);

/// A place in the plan's plane and in the grid's coordinates.
struct Spot {
    double north_m = 0, east_m = 0;
    GridPoint at;
};

/// What the ground does on the straight line between two spots, looked at once a cell.
struct Profile {
    double lowest_m = 0, highest_m = 0;  // NaN when nothing is known
    double unknown_m = 0;                // of the line: holes, or beyond the grid
    double relief_m() const { return highest_m - lowest_m; }
};
Profile profile_between(const ElevationGrid& grid, const Spot& from, const Spot& to);

class Walk {
  public:
    /// `elevation` may be null: level ground. On a track people go `track_speed_factor` times as fast.
    Walk(std::shared_ptr<const ElevationGrid> elevation, SlopeRule rule,
         const std::vector<std::vector<Spot>>& tracks, double track_speed_factor);

    /// The quickest of the straight line and of the ways straight to the nearest point of a track, along it, and straight
    /// on from its point nearest to the end. No other way round is sought. Where no height is known, the
    /// ground is taken as an even slope between the known ones, and level before the first and after the last.
    double level_m(const Spot& from, const Spot& to) const;

  private:
    struct Track {
        std::vector<Spot> corners;
        std::vector<double> level_m;  // from the first corner to each
    };
    struct OnTrack {
        Spot spot;
        double from_spot_m, along_level_m;
    };
    double straight_level_m(const Spot& from, const Spot& to) const;
    static OnTrack nearest_on(const Track& track, const Spot& spot);

    std::shared_ptr<const ElevationGrid> elevation_;
    SlopeRule rule_;
    std::vector<Track> tracks_;
};

}  // namespace ampturn::terrain
