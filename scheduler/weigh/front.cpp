#include "scheduler/weigh/front.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>
#include <string>
#include <tuple>

namespace ampturn::weigh {

Worth to_nine_digits(const Worth& worth) {
    const auto nine = [](double v) { return std::stod(fmt::format("{:.9g}", v)); };
    return {nine(worth.moment_a_m2), nine(worth.weight_kg), nine(worth.watt_hours)};
}

bool dominates(const Worth& a, const Worth& b) {
    const bool no_worse =
        a.moment_a_m2 >= b.moment_a_m2 && a.weight_kg <= b.weight_kg && a.watt_hours <= b.watt_hours;
    const bool better =
        a.moment_a_m2 > b.moment_a_m2 || a.weight_kg < b.weight_kg || a.watt_hours < b.watt_hours;
    return no_worse && better;
}

std::vector<std::size_t> front_of(const std::vector<Worth>& all) {
    // In order of falling moment whatever dominates a sender, or equals it and stands before it, comes before it.
    std::vector<std::size_t> order(all.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    const auto key = [&](std::size_t i) {
        return std::tuple(-all[i].moment_a_m2, all[i].weight_kg, all[i].watt_hours, i);
    };
    std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return key(a) < key(b); });
    std::vector<std::size_t> front;
    for (const std::size_t i : order) {
        const bool beaten = std::any_of(front.begin(), front.end(), [&](std::size_t j) {
            return all[j].weight_kg <= all[i].weight_kg && all[j].watt_hours <= all[i].watt_hours;
        });
        if (!beaten) front.push_back(i);
    }
    std::sort(front.begin(), front.end());
    return front;
}

}  // namespace ampturn::weigh
