#include "scheduler/terrain/walk.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace ampturn::terrain {

namespace {

double distance_m(const Spot& a, const Spot& b) {
    return std::hypot(a.north_m - b.north_m, a.east_m - b.east_m);
}

Spot between(const Spot& a, const Spot& b, double part) {
    const auto mix = [part](double from, double to) { return from + part * (to - from); };
    return {mix(a.north_m, b.north_m),
            mix(a.east_m, b.east_m),
            {mix(a.at.east, b.at.east), mix(a.at.north, b.at.north)}};
}

/// As many as there are cells on the way, at least one.
int piece_count(const ElevationGrid& grid, const Spot& from, const Spot& to) {
    const GridPoint step = grid.step_m(from.at.north);
    return std::max(1, static_cast<int>(std::ceil(distance_m(from, to) / std::min(step.east, step.north))));
}

}  // namespace

double level_metres(SlopeRule rule, double distance_m, double rise_m) {
    if (rule == SlopeRule::naismith) return distance_m + 7.92 / 2 * std::abs(rise_m);
    const double slope = std::abs(rise_m) / distance_m;
    const auto over_level = [](double s) { return std::exp(3.5 * (std::abs(s + 0.05) - 0.05)); };
    return distance_m * (over_level(slope) + over_level(-slope)) / 2;
}

Profile profile_between(const ElevationGrid& grid, const Spot& from, const Spot& to) {
    constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
    Profile out{nothing, nothing, 0};
    const int pieces = piece_count(grid, from, to);
    int unknown = 0;
    for (int i = 0; i <= pieces; ++i) {
        const auto height = grid.at(between(from, to, static_cast<double>(i) / pieces).at);
        unknown += !height;
        if (!height) continue;
        out.lowest_m = std::fmin(out.lowest_m, *height);  // of a number and NaN: the number
        out.highest_m = std::fmax(out.highest_m, *height);
    }
    out.unknown_m = distance_m(from, to) * unknown / (pieces + 1);
    return out;
}

Walk::Walk(std::shared_ptr<const ElevationGrid> elevation, SlopeRule rule,
           const std::vector<std::vector<Spot>>& tracks, double track_speed_factor)
    : elevation_(std::move(elevation)), rule_(rule) {
    for (const std::vector<Spot>& corners : tracks) {
        Track track{corners, {0}};
        for (std::size_t i = 1; i < corners.size(); ++i)
            track.level_m.push_back(track.level_m.back() +
                                    straight_level_m(corners[i - 1], corners[i]) / track_speed_factor);
        tracks_.push_back(std::move(track));
    }
}

double Walk::straight_level_m(const Spot& from, const Spot& to) const {
    const double way_m = distance_m(from, to);
    if (way_m == 0 || !elevation_) return way_m;
    const int pieces = piece_count(*elevation_, from, to);
    const double piece_m = way_m / pieces;
    double sum_m = 0;
    int known = 0;  // where `height_m` is
    std::optional<double> height_m;
    for (int i = 0; i <= pieces; ++i) {
        const auto here_m = elevation_->at(between(from, to, static_cast<double>(i) / pieces).at);
        if (!here_m) continue;
        if (height_m)
            sum_m += level_metres(rule_, piece_m * (i - known), *here_m - *height_m);
        else
            sum_m += piece_m * i;
        known = i;
        height_m = here_m;
    }
    return sum_m + piece_m * (pieces - known);
}

Walk::OnTrack Walk::nearest_on(const Track& track, const Spot& spot) {
    OnTrack best{spot, std::numeric_limits<double>::infinity(), 0};
    for (std::size_t i = 1; i < track.corners.size(); ++i) {
        const Spot &a = track.corners[i - 1], &b = track.corners[i];
        const double north_m = b.north_m - a.north_m, east_m = b.east_m - a.east_m;
        const double square_m2 = north_m * north_m + east_m * east_m;
        const double along_m2 = (spot.north_m - a.north_m) * north_m + (spot.east_m - a.east_m) * east_m;
        const double part = square_m2 > 0 ? std::min(std::max(along_m2 / square_m2, 0.0), 1.0) : 0;
        const Spot here = between(a, b, part);
        if (const double away_m = distance_m(spot, here); away_m < best.from_spot_m)
            best = {here, away_m, track.level_m[i - 1] + part * (track.level_m[i] - track.level_m[i - 1])};
    }
    return best;
}

double Walk::level_m(const Spot& from, const Spot& to) const {
    double best_m = straight_level_m(from, to);
    for (const Track& track : tracks_) {
        const OnTrack on = nearest_on(track, from), off = nearest_on(track, to);
        const double along_m = std::abs(on.along_level_m - off.along_level_m);
        if (on.from_spot_m + along_m + off.from_spot_m >= best_m) continue;  // at the very least
        best_m = std::min(best_m, straight_level_m(from, on.spot) + along_m + straight_level_m(off.spot, to));
    }
    return best_m;
}

}  // namespace ampturn::terrain
