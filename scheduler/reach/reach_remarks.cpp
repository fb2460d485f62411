#include "scheduler/reach/reach_remarks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "scheduler/reach/site_search.hpp"

namespace ampturn::reach {

std::vector<plan::Remark> reach_remarks(const plan::Plan& plan, const setup::SurveySetup& setup) {
    int readings = 0, far_field = 0, sufficient_snr = 0;
    for (std::size_t i = 0; i < plan.sites.size(); ++i) {
        const int site = static_cast<int>(i);
        if (std::none_of(plan.stations.begin(), plan.stations.end(),
                         [&](const plan::Station& s) { return s.site_index == site; }))
            continue;
        const SiteSearch here = search_site(
            plan, setup, {}, {.only_stations_of_site = plan.sites[i].name, .azimuth_site_index = site});
        const SiteCandidate& own = here.planned[i];
        if (own.usable_count > 0) return {};
        readings += here.reading_count;
        far_field += own.far_field_count;
        sufficient_snr += own.sufficient_snr_count;
    }
    plan::Remarks remarks(plan);
    remarks.add(
        "station[1].name",
        fmt::format(
            "every station is out of reach of its site: of {} required readings {} lie in the far field and {} "
            "have signal enough, none both. `ampturn reach` shows the offsets that would serve",
            readings, far_field, sufficient_snr));
    return std::move(remarks).sorted();
}

}  // namespace ampturn::reach
