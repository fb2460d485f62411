#pragma once

#include <cstddef>
#include <map>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/terrain/walk.hpp"

namespace ampturn::day {

/// Times on the way between the places of a plan: its sites, its stations and "base".
///
/// A leg of the plan counts both ways (the first that fits). Without one it is walked (plan/ways.hpp) at walking
/// speed; to and from the base, whose place no plan gives, the quickest way over a place that has a leg to
/// the base, or 0 when none has: the crew then starts on the spot.
class Travel {
  public:
    explicit Travel(const plan::Plan& plan);

    /// Of a name of the plan, else std::out_of_range.
    std::size_t place(const std::string& name) const { return places_.at(name); }

    double seconds(std::size_t from, std::size_t to) const;
    double seconds(const std::string& from, const std::string& to) const {
        return seconds(place(from), place(to));
    }
    /// The straight line in metres; 0 to and from the base.
    double straight_m(const std::string& from, const std::string& to) const {
        return straight_m(place(from), place(to));
    }

  private:
    double straight_m(std::size_t from, std::size_t to) const;
    double between_places_s(std::size_t from, std::size_t to) const;  // neither is the base

    std::map<std::string, std::size_t> places_;  // the base is the last one
    std::vector<terrain::Spot> spots_;
    std::map<std::pair<std::size_t, std::size_t>, double> legs_s_;  // smaller index first
    std::vector<std::pair<std::size_t, double>> base_legs_s_;
    std::shared_ptr<const terrain::Walk> walk_;
    double seconds_per_m_;
};

}  // namespace ampturn::day
