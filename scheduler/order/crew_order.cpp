#include "scheduler/order/crew_order.hpp"

#include <algorithm>
#include <functional>
#include <numeric>
#include <utility>

namespace ampturn::order {
namespace {

constexpr double same_s = 1e-6;              // days that differ by less are over at the same time
constexpr double stations_tried_most = 2e7;  // station by station over all arrangements a descent tries

bool better(const CrewDay& a, const CrewDay& b) {
    if (a.end_s < b.end_s - same_s || a.end_s > b.end_s + same_s) return a.end_s < b.end_s;
    if (a.sweeps != b.sweeps) return a.sweeps < b.sweeps;
    return a.person_s < b.person_s - same_s;
}

/// One entry a site, in the order of the first visits.
Arrangement each_site_once(const Arrangement& arrangement) {
    Arrangement out;
    for (const SiteWork& work : arrangement) {
        const auto same = std::find_if(out.begin(), out.end(),
                                       [&](const SiteWork& w) { return w.site_index == work.site_index; });
        if (same == out.end()) {
            out.push_back(work);
            continue;
        }
        for (std::size_t c = 0; c < work.by_crew.size(); ++c)
            same->by_crew[c].insert(same->by_crew[c].end(), work.by_crew[c].begin(), work.by_crew[c].end());
    }
    return out;
}

std::vector<std::size_t> stations_of(const SiteWork& work) {
    std::vector<std::size_t> out;
    for (const std::vector<std::size_t>& stations : work.by_crew)
        out.insert(out.end(), stations.begin(), stations.end());
    std::sort(out.begin(), out.end());
    return out;
}

/// The best arrangement seen, and its day.
class Best {
  public:
    Best(const CrewTimes& times, Arrangement start)
        : times_(times), arrangement_(std::move(start)), day_(times.day_of(arrangement_)) {}

    bool take_if_better(const Arrangement& arrangement) {
        const CrewDay day = times_.day_of(arrangement);
        if (!better(day, day_)) return false;
        arrangement_ = arrangement;
        day_ = day;
        return true;
    }
    const Arrangement& arrangement() const { return arrangement_; }
    const CrewDay& day() const { return day_; }

  private:
    const CrewTimes& times_;
    Arrangement arrangement_;
    CrewDay day_;
};

/// Every arrangement that visits each site once.
class Enumeration {
  public:
    Enumeration(const Arrangement& sites, Best& best) : work_(sites), best_(best) {}

    void run() {
        std::sort(work_.begin(), work_.end(),
                  [](const SiteWork& a, const SiteWork& b) { return a.site_index < b.site_index; });
        std::vector<std::size_t> turn(work_.size());
        std::iota(turn.begin(), turn.end(), std::size_t{0});
        const Arrangement by_index = work_;
        do {
            for (std::size_t i = 0; i < turn.size(); ++i) work_[i] = by_index[turn[i]];
            deal(0);
        } while (std::next_permutation(turn.begin(), turn.end()));
    }

  private:
    void deal(std::size_t site) {
        if (site == work_.size()) {
            best_.take_if_better(work_);
            return;
        }
        const SiteWork as_it_was = work_[site];
        for (std::vector<std::size_t>& stations : work_[site].by_crew) stations.clear();
        deal_rest(site, 0, stations_of(as_it_was));
        work_[site] = as_it_was;
    }

    /// `rest` to this crew and those after it: one more for this crew, or no more.
    void deal_rest(std::size_t site, std::size_t crew, const std::vector<std::size_t>& rest) {
        if (rest.empty()) return deal(site + 1);
        for (std::size_t i = 0; i < rest.size(); ++i) {
            std::vector<std::size_t> fewer = rest;
            fewer.erase(fewer.begin() + static_cast<std::ptrdiff_t>(i));
            work_[site].by_crew[crew].push_back(rest[i]);
            deal_rest(site, crew, fewer);
            work_[site].by_crew[crew].pop_back();
        }
        if (crew + 1 < work_[site].by_crew.size()) deal_rest(site, crew + 1, rest);
    }

    Arrangement work_;
    Best& best_;
};

/// Steps that make the day better, as long as there is one.
class Descent {
  public:
    Descent(const CrewTimes& times, Arrangement start, double tries)
        : now_(start), best_(times, std::move(start)), tries_left_(tries) {}

    const Best& run() {
        while (move_stations() || exchange_stations() || exchange_sites()) {
        }
        return best_;
    }

  private:
    using List = std::vector<std::size_t>;

    /// Keeps what was done to now_ if it is better, else undoes it.
    bool keep(const std::function<void()>& undo) {
        tries_left_ -= 1;
        if (best_.take_if_better(now_)) return true;
        undo();
        return false;
    }
    bool tired() const { return tries_left_ <= 0; }

    /// A station at each other place of each crew of its site.
    bool move_stations() {
        for (SiteWork& work : now_)
            for (List& from : work.by_crew)
                for (std::size_t i = 0; i < from.size(); ++i)
                    for (List& to : work.by_crew)
                        for (std::size_t place = 0; place <= to.size() - (&to == &from ? 1 : 0); ++place) {
                            if (tired()) return false;
                            if (&to == &from && place == i) continue;
                            move(from, i, to, place);
                            if (keep([&] { move(to, place, from, i); })) return true;
                        }
        return false;
    }
    static void move(List& from, std::size_t i, List& to, std::size_t place) {
        const std::size_t station = from[i];
        from.erase(from.begin() + static_cast<std::ptrdiff_t>(i));
        to.insert(to.begin() + static_cast<std::ptrdiff_t>(place), station);
    }

    bool exchange_stations() {
        for (SiteWork& work : now_) {
            std::vector<std::size_t*> places;
            for (List& stations : work.by_crew)
                for (std::size_t& station : stations) places.push_back(&station);
            for (std::size_t a = 0; a < places.size(); ++a)
                for (std::size_t b = 0; b < a; ++b) {
                    if (tired()) return false;
                    std::swap(*places[a], *places[b]);
                    if (keep([&] { std::swap(*places[a], *places[b]); })) return true;
                }
        }
        return false;
    }

    bool exchange_sites() {
        for (std::size_t a = 0; a < now_.size(); ++a)
            for (std::size_t b = 0; b < a; ++b) {
                if (tired()) return false;
                std::swap(now_[a], now_[b]);
                if (keep([&] { std::swap(now_[a], now_[b]); })) return true;
            }
        return false;
    }

    Arrangement now_;
    Best best_;
    double tries_left_;
};

/// The stations of each site by their bearing from it, dealt out in runs as the crews have sensor sets.
Arrangement by_bearing(const plan::Plan& plan, Arrangement sites) {
    const std::vector<plan::CrewValues> crews = plan::receiver_crews_of(plan);
    double sets = 0;
    for (const plan::CrewValues& crew : crews) sets += crew.sensor_sets;
    for (SiteWork& work : sites) {
        std::vector<std::size_t> stations = stations_of(work);
        std::stable_sort(stations.begin(), stations.end(), [&](std::size_t a, std::size_t b) {
            return plan.stations[a].bearing_deg < plan.stations[b].bearing_deg;
        });
        double sets_before = 0;
        for (std::size_t c = 0; c < crews.size(); ++c) {
            const auto share = [&](double before) {
                return static_cast<std::ptrdiff_t>(static_cast<double>(stations.size()) * before / sets);
            };
            const double sets_with = sets_before + crews[c].sensor_sets;
            work.by_crew[c].assign(stations.begin() + share(sets_before),
                                   stations.begin() + share(sets_with));
            sets_before = sets_with;
        }
    }
    return sites;
}

}  // namespace

double arrangements_of(const plan::Plan& plan) {
    const auto crews = static_cast<double>(plan::receiver_crews_of(plan).size());
    const Arrangement sites = each_site_once(arrangement_of(plan));
    double count = 1;
    for (std::size_t i = 0; i < sites.size(); ++i) {
        count *= static_cast<double>(i + 1);
        const std::size_t stations = stations_of(sites[i]).size();
        // n! orders, cut into as many runs as there are crews: n! (n + c - 1)! / (n! (c - 1)!).
        for (std::size_t n = 0; n < stations; ++n) count *= crews + static_cast<double>(n);
    }
    return count;
}

CrewOrder improved_crew_order(const plan::Plan& plan, double sweep_s) {
    const CrewTimes times(plan, sweep_s);
    const Arrangement planned = arrangement_of(plan), once = each_site_once(planned);
    Best best(times, planned);
    CrewOrder out{.plan = plan,
                  .unchanged = true,
                  .exact = arrangements_of(plan) <= exact_arrangements_most,
                  .planned = best.day(),
                  .found = best.day(),
                  .bound = times.bound()};
    if (out.exact) {
        Enumeration(once, best).run();
    } else {
        const double tries = stations_tried_most / static_cast<double>(plan.stations.size());
        for (const Arrangement& start : {once, by_bearing(plan, once)})
            best.take_if_better(Descent(times, start, tries / 2).run().arrangement());
    }
    out.found = best.day();
    out.unchanged = !better(out.found, out.planned);
    if (!out.unchanged) out.plan = arranged(plan, best.arrangement());
    return out;
}

}  // namespace ampturn::order
