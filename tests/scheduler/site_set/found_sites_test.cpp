#include "scheduler/site_set/found_sites.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "scheduler/plan/file/config.hpp"
#include "scheduler/site_set/site_limits.hpp"
#include "tests/paths.hpp"
#include "tests/run_program.hpp"

namespace ampturn::site_set {
namespace found_sites_test {

using testing::HasSubstr;

/// A copy of the demo in a folder of its own, for files to stand beside it.
class Survey {
  public:
    explicit Survey(const std::string& more = "") {
        folder_.write("plan.toml", test::read_whole_file(test::source_path("demo/vesslarook.toml")) + more);
    }
    void write(const std::string& name, const std::string& text) const { folder_.write(name, text); }
    plan::Plan plan(const std::vector<plan::file::Setting>& settings) const {
        return plan::file::load_plan(folder_.file("plan.toml"), settings);
    }
    std::string complaint(const std::vector<plan::file::Setting>& settings) const {
        try {
            (void)plan(settings);
        } catch (const base::InputError& error) {
            return error.what();
        }
        return "nothing";
    }

  private:
    test::ScratchDirectory folder_;
};

const char* const around_east_mast =
    R"({"type":"Polygon","coordinates":[[[14.04,61.50],[14.05,61.50],[14.05,61.51],[14.04,61.51],[14.04,61.50]]]})";
const char* const between_masts =
    R"({"type":"Polygon","coordinates":[[[14.02,61.50],[14.04,61.50],[14.04,61.52],[14.02,61.52],[14.02,61.50]]]})";

/// Heights of a valley between the masts with a floor of ten cells, `hole` at the western one.
std::string heights(bool hole) {
    std::string text = "ncols 60\nnrows 40\nxllcorner 14.00\nyllcorner 61.49\ncellsize 0.001\n";
    for (int row = 0; row < 40; ++row)
        for (int column = 0; column < 60; ++column)
            text += (hole && column < 20 ? std::string("-9999")
                                         : std::to_string(std::max(std::abs(column - 31) - 5, 0) * 20)) +
                    " ";
    return text;
}

TEST(AreasAndHeights, PlacesThatDoNotGoWithThemAreErrorsOfThePlan) {
    const Survey survey;
    survey.write("areas.geojson", around_east_mast);
    survey.write("hole.asc", heights(true));
    EXPECT_THAT(
        survey.complaint({{"areas.exclusion_geojson", "areas.geojson"}}),
        testing::AllOf(HasSubstr("plan.toml:"), HasSubstr("site[2]: found \"East mast\" inside the area")));
    EXPECT_THAT(survey.complaint({{"terrain.elevation_grid", "hole.asc"}}),
                testing::AllOf(HasSubstr("site[1]: found \"West mast\", where"), HasSubstr("no height")));
    EXPECT_THAT(survey.complaint({{"areas.tracks_geojson", "none.geojson"}}),
                HasSubstr("areas.tracks_geojson: found \"none.geojson\", which is not there"));
    EXPECT_THAT(survey.complaint({{"terrain.site_slope_max_deg", "5"}}), HasSubstr("elevation_grid"));
}

TEST(SiteLimits, LeaveOutAreasSlopesAndLongWalks) {
    const Survey survey;
    survey.write("areas.geojson", between_masts);
    survey.write("valley.asc", heights(false));
    const auto allowed = [&](const std::vector<plan::file::Setting>& settings) {
        const plan::Plan plan = survey.plan(settings);
        const auto candidates = reach::grid_candidates(plan, 200, 600);
        const AllowedCandidates out = allowed_candidates(plan, candidates);
        EXPECT_EQ(out.candidates.size() + static_cast<std::size_t>(out.left_out_count()), candidates.size());
        for (const reach::SiteCandidate& c : out.candidates) {
            if (!plan.areas.exclusion_geojson.empty()) {
                EXPECT_TRUE(*c.place.longitude_deg < 14.02 || *c.place.longitude_deg > 14.04);
            }
            if (plan.areas.site_walk_max_min) {
                EXPECT_LE(walk_to_min(plan, c.place), *plan.areas.site_walk_max_min);
            }
        }
        return out;
    };
    EXPECT_EQ(allowed({}).left_out_count(), 0);
    EXPECT_GT(allowed({{"areas.exclusion_geojson", "areas.geojson"}}).in_area_count, 0);
    EXPECT_GT(allowed({{"areas.site_walk_max_min", "40"}}).far_count, 0);
    EXPECT_THROW((void)allowed({{"areas.site_walk_max_min", "1"}}), base::InputError)
        << "no way is that short";
    // Closed form: 20 m up over 0.001 degree of longitude, 53 m at this latitude, are 21 degrees; the valley's floor is level.
    EXPECT_GT(
        allowed({{"terrain.elevation_grid", "valley.asc"}, {"terrain.site_slope_max_deg", "15"}}).steep_count,
        0);
}

const char* const bog =
    "\n[[ground]]\nname = \"bog\"\nresistivity_ohm_m = [30]\nthickness_m = []\nrelative_permittivity = [20]\n";

reach::SiteSearch searched(const plan::Plan& plan) {
    return reach::search_site(plan, reach::grid_candidates(plan, 300, 600), {.by_station = true});
}

/// What a station gets from a candidate.
int usable_at(const reach::SiteSearch& search, const reach::SiteCandidate& candidate, std::size_t station) {
    return search.usable_by_station[candidate.row * search.stations.size() + station];
}

// Identity: each station's best adds up to the set's score, one site is the best of the search, a plan written reads back.
TEST(FoundSites, ServeStationsAndGoIntoThePlan) {
    const Survey survey(bog);
    const plan::Plan plan = survey.plan({{"station[4].ground", "\"bog\""}});
    const reach::SiteSearch search = searched(plan);
    const SiteSets sets = site_sets(search, 3);
    long long served = 0;
    for (const Served& s : sets.found.stations) served += s.usable_count;
    EXPECT_EQ(served, sets.by_count[sets.chosen].score);
    EXPECT_EQ(sets.by_count[0].score, search.candidates[0].usable_count);
    const plan::Plan with = plan_with(plan, sets.found, 0);
    const plan::Plan back = plan::file::parse_plan(plan::file::write_plan(with), "again.toml");
    EXPECT_EQ(back.sites.size(), plan.sites.size() + sets.found.sites.size());
    EXPECT_EQ(back.stations[3].ground_index, plan.stations[3].ground_index);
    for (std::size_t i = 0; i < back.stations.size(); ++i) {
        EXPECT_EQ(back.stations[i].site, sets.found.sites[sets.found.stations[i].site]->name);
        EXPECT_NEAR(back.stations[i].offset_m, sets.found.stations[i].offset_m, 1e-3);
        EXPECT_NEAR(back.stations[i].place.x_m, plan.stations[i].place.x_m, 1e-3);
    }
    EXPECT_THROW((void)plan_with(with, sets.found, 0), base::InputError) << "names that it has by now";
}

// Independent: every single site and every pair of sites of the search tried.
TEST(FoundSites, AreThoseThatTryingAllFinds) {
    const reach::SiteSearch search = searched(Survey().plan({}));
    int one = 0, two = 0;
    for (const reach::SiteCandidate& a : search.candidates)
        for (const reach::SiteCandidate& b : search.candidates) {
            int both = 0, alone = 0;
            for (std::size_t s = 0; s < search.stations.size(); ++s) {
                both += std::max(usable_at(search, a, s), usable_at(search, b, s));
                alone += usable_at(search, a, s);
            }
            EXPECT_EQ(alone, a.usable_count);
            one = std::max(one, alone);
            two = std::max(two, both);
        }
    const SiteSets sets = site_sets(search, 2);
    EXPECT_EQ(sets.by_count.at(0).score, one);
    EXPECT_EQ(sets.by_count.at(1).score, two);
    EXPECT_TRUE(sets.by_count.at(1).proved());
    EXPECT_GT(two, one) << "or the case shows nothing";
}

// Identity: a station on a ground of its own gets what it would where all the survey stands on that, the others what they got.
TEST(FoundSites, EachStationIsJudgedOnItsOwnGround) {
    const Survey survey(bog);
    const reach::SiteSearch search = searched(survey.plan({})),
                            own = searched(survey.plan({{"station[4].ground", "\"bog\""}})),
                            all = searched(survey.plan({{"earth.resistivity_ohm_m", "[30]"},
                                                        {"earth.thickness_m", "[]"},
                                                        {"earth.relative_permittivity", "[20]"}}));
    const auto named = [](const reach::SiteSearch& in, const reach::SiteCandidate& like) {
        return *std::find_if(in.candidates.begin(), in.candidates.end(),
                             [&](const reach::SiteCandidate& c) { return c.name == like.name; });
    };
    int differing = 0;
    for (const reach::SiteCandidate& c : own.candidates)
        for (std::size_t s = 0; s < own.stations.size(); ++s) {
            const reach::SiteSearch& like = s == 3 ? all : search;
            EXPECT_EQ(usable_at(own, c, s), usable_at(like, named(like, c), s)) << c.name << " " << s;
            differing += usable_at(own, c, s) != usable_at(search, named(search, c), s);
        }
    EXPECT_GT(differing, 0) << "or the ground shows nothing";
}

}  // namespace found_sites_test
}  // namespace ampturn::site_set
