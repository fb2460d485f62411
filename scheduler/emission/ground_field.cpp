#include "scheduler/emission/ground_field.hpp"

#include <algorithm>
#include <cmath>

#include "model/base/constants.hpp"

namespace ampturn::emission {
namespace {

constexpr double farthest_m = 2e4, lowest_hz = 1, highest_hz = 1e6;
constexpr double tolerance_rel = 1e-6;
constexpr std::size_t directions = 3;

double size_squared(const model::fields::Fields& f) {
    return std::norm(f.hx_a_per_m) + std::norm(f.hy_a_per_m) + std::norm(f.hz_a_per_m);
}

}  // namespace

double largest_of_quadratic(double at_one, double at_zero, double at_minus_one) {
    const double largest_end = std::max(at_one, at_minus_one);
    const double curvature = (at_one + at_minus_one) / 2 - at_zero, slope = (at_one - at_minus_one) / 2;
    if (!(curvature < 0) || std::abs(slope) >= -2 * curvature) return largest_end;
    return std::max(largest_end, at_zero - slope * slope / (4 * curvature));
}

GroundField::GroundField(const model::ground::LayeredEarth& earth,
                         const std::array<model::loop::LoopDesign, 2>& loops,
                         const std::vector<double>& distances_m)
    : earth_(earth) {
    const double reach_m = std::max(loops[0].outline.reach_m(), loops[1].outline.reach_m());
    for (const double d : distances_m)
        if (d >= 2 * reach_m && d <= farthest_m) distances_m_.push_back(d);
    if (distances_m_.empty()) return;
    // Seen with the moment's horizontal part northwards, every component of H is linear in cosine and sine of the bearing,
    // |H|^2 a quadratic in the cosine: three bearings hold all of it.
    std::vector<model::fields::Source> sources;
    for (const model::loop::LoopDesign& loop : loops) {
        const double tilt = loop.tilt_deg * model::pi / 180;
        sources.emplace_back(model::fields::Dipole{.moment_a_m2 = {std::cos(tilt), 0, std::sin(tilt)},
                                                   .height_m = loop.centre_height_m});
    }
    std::vector<model::fields::Receiver> receivers;
    for (const double d : distances_m_) {
        receivers.push_back({d, 0});
        receivers.push_back({0, d});
        receivers.push_back({-d, 0});
    }
    job_ = std::make_unique<model::fields::FieldJob>(std::move(sources), std::move(receivers));
}

const GroundField::PerDistance& GroundField::at(double frequency_hz) {
    const auto known = known_.find(frequency_hz);
    if (known != known_.end()) return known->second;
    const std::size_t receivers = directions * distances_m_.size();
    std::vector<model::fields::FieldResult> results(2 * receivers);
    job_->compute(earth_, frequency_hz, {.tolerance_rel = tolerance_rel}, results);
    PerDistance out(distances_m_.size());
    for (std::size_t loop = 0; loop < 2; ++loop)
        for (std::size_t d = 0; d < distances_m_.size(); ++d) {
            const auto squared = [&](std::size_t direction) {
                return size_squared(results[loop * receivers + directions * d + direction].fields);
            };
            out[d][loop] = std::sqrt(largest_of_quadratic(squared(0), squared(1), squared(2)));
        }
    return known_.emplace(frequency_hz, std::move(out)).first->second;
}

std::optional<double> GroundField::h_a_per_m(std::size_t loop, double frequency_hz, double distance_m) {
    const auto found = std::find(distances_m_.begin(), distances_m_.end(), distance_m);
    if (found == distances_m_.end() || frequency_hz < lowest_hz || frequency_hz > highest_hz)
        return std::nullopt;
    return at(frequency_hz)[static_cast<std::size_t>(found - distances_m_.begin())][loop];
}

}  // namespace ampturn::emission
