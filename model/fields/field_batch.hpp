#pragma once

#include <array>
#include <cstddef>
#include <functional>
#include <span>
#include <vector>

#include "model/fields/fields.hpp"
#include "model/fields/point_fields.hpp"

namespace ampturn::model::fields {

/// Dipoles at one point, or spread evenly over one column (its middle is the point), and the way from there to every
/// receiver: what no frequency or ground changes.
struct SourceGroup {
    struct Member {
        std::size_t source;       // index
        std::array<double, 3> a;  // moment / 4 pi: north, east, down
    };
    std::vector<Member> members;
    double height_m;
    double half_height_m = 0;  // of a column; receivers are then on the ground
    bool vertical;             // a moment has a part downward
    std::vector<double> offset_m, log_offset, inverse_cube, cosine, sine;  // of each receiver
};

/// Dipoles of `sources` (loops are left out) by place.
std::vector<SourceGroup> group_dipoles(std::span<const Source> sources, std::span<const Receiver> receivers);

/// Results of a group from the curves of `shared`, many receivers at a time; those that miss the tolerance
/// are asked of `fallback(source, receiver)`. results[source * receivers.size() + receiver].
void batch_fields(const SourceGroup& group, std::span<const Receiver> receivers, InterpolatedFields& shared,
                  const std::function<FieldResult(std::size_t, std::size_t)>& fallback,
                  std::span<FieldResult> results);

/// Adds the fields of all members to those of the group's receivers from `first` to before receivers.size(): sums[receiver].
void add_fields(const SourceGroup& group, std::span<const Receiver> receivers, std::size_t first,
                InterpolatedFields& shared, const std::function<Estimate(std::size_t, std::size_t)>& fallback,
                std::span<Estimate> sums);

}  // namespace ampturn::model::fields
