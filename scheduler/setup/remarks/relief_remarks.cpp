#include "scheduler/setup/remarks/relief_remarks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "model/base/skin_depth.hpp"
#include "model/ground/plane_wave.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/plan/ways.hpp"
#include "scheduler/terrain/walk.hpp"

namespace ampturn::setup::remarks {

namespace {

struct SkinDepth {
    double frequency_hz, depth_m;
};

using SkinDepths = std::vector<SkinDepth>;

SkinDepths skin_depths(const model::ground::LayeredEarth& ground, const std::vector<double>& frequencies_hz) {
    SkinDepths out;
    for (const double f : frequencies_hz)
        out.push_back({f, model::skin_depth_m(model::ground::apparent_resistivity_ohm_m(
                                                  model::ground::plane_wave_impedance_ohm(ground, f), f),
                                              f)});
    return out;
}

/// A station from whose site the ground is not flat.
struct Doubtful {
    const plan::Station* station;
    terrain::Profile profile;
    double over_limit;                   // relief over what is still flat, at the worst frequency
    int doubtful_count, required_count;  // frequencies
    SkinDepth shallowest;
};

Doubtful look_at(const plan::Plan& plan, const plan::Station& station, const SkinDepths& depths) {
    const plan::Place& site = plan.sites[static_cast<std::size_t>(station.site_index)].place;
    Doubtful out{
        &station,
        terrain::profile_between(*plan.terrain.elevation, plan::spot_of(site), plan::spot_of(station.place)),
        0,
        0,
        0,
        {0, HUGE_VAL}};
    for (const SkinDepth& at : depths) {
        if (!station.requires_frequency(at.frequency_hz)) continue;
        ++out.required_count;
        if (at.depth_m < out.shallowest.depth_m) out.shallowest = at;
        const double over = out.profile.relief_m() /
                            (plan.terrain.flat_relief_fraction * std::min(station.offset_m, at.depth_m));
        out.doubtful_count += over > 1;
        out.over_limit = std::max(out.over_limit, over);
    }
    return out;
}

}  // namespace

void remark_relief(const plan::Plan& plan, const SurveySetup& setup, plan::Remarks& remarks) {
    if (!plan.terrain.elevation) return;
    std::map<const model::ground::LayeredEarth*, SkinDepths> depths;  // looked up only
    for (std::size_t site = 0; site < plan.sites.size(); ++site) {
        int count = 0;
        Doubtful worst{};
        for (const plan::Station& station : plan.stations) {
            if (station.site_index != static_cast<int>(site)) continue;
            const model::ground::LayeredEarth& ground = setup.ground_of(station);
            if (!depths.contains(&ground)) depths[&ground] = skin_depths(ground, setup.frequencies_hz);
            const Doubtful here = look_at(plan, station, depths[&ground]);
            if (here.over_limit <= 1) continue;
            ++count;
            if (here.over_limit > worst.over_limit) worst = here;
        }
        if (count == 0) continue;
        std::string text = fmt::format(
            "flat, layered ground is doubtful for {} {}, most for \"{}\": heights on the straight line there "
            "differ by {:.3g} m",
            count, count == 1 ? "station" : "stations", worst.station->name, worst.profile.relief_m());
        if (worst.profile.unknown_m > 0)
            text +=
                fmt::format(" or more ({:.0f} m of it have no height)", std::ceil(worst.profile.unknown_m));
        text += fmt::format(
            ", at {} of {} frequencies more than {:g} of the smaller of offset ({:.0f} m) and skin depth "
            "(down to {:.3g} m at {}). Heights count for walking, not for fields",
            worst.doubtful_count, worst.required_count, plan.terrain.flat_relief_fraction,
            worst.station->offset_m, worst.shallowest.depth_m,
            base::frequency_text(worst.shallowest.frequency_hz));
        remarks.add(fmt::format("site[{}]", site + 1), std::move(text));
    }
}

}  // namespace ampturn::setup::remarks
