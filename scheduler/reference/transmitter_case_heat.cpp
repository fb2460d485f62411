#include <algorithm>
#include <array>
#include <cmath>

#include "model/base/root.hpp"
#include "model/transmitter/thermal.hpp"
#include "scheduler/reference/reference_case_runners.hpp"

namespace ampturn::reference {

namespace {

using nlohmann::json;

struct Inputs {
    model::transmitter::ThermalNodes nodes;
    model::transmitter::HeatInput heat;
    double ambient_c;
    model::transmitter::Temperatures start;
};

Inputs inputs_of(const json& in) {
    const auto number = [&in](const char* key) { return in.at(key).get<double>(); };
    Inputs i{};
    i.nodes = {number("winding_heat_capacity_J_per_K"), number("electronics_heat_capacity_J_per_K"),
               number("R_winding_ambient_K_per_W"), number("R_electronics_ambient_K_per_W"),
               number_or(in, "R_winding_electronics_K_per_W", model::transmitter::no_link)};
    i.heat = {number_or(in, "I_rms_A", 0),  number("winding_R20_ohm"),         number("alpha20_per_K"),
              number("bridge_R25_ohm"),     number("bridge_temp_coeff_per_K"), 0,
              number("electronics_fixed_W")};
    i.ambient_c = number("ambient_C");
    // At ambient unless given, under any of the names such a start goes by.
    i.start = {i.ambient_c, i.ambient_c};
    for (const char* key : {"start_winding_C", "winding_start_C", "initial_winding_C"})
        i.start.winding_c = number_or(in, key, i.start.winding_c);
    for (const char* key : {"start_electronics_C", "electronics_start_C", "initial_electronics_C"})
        i.start.electronics_c = number_or(in, key, i.start.electronics_c);
    return i;
}

// Eigenvalues per second of the two nodes, the more negative first; >= 0 means runaway: no steady state.
std::array<double, 2> eigenvalues_per_s(const model::transmitter::ThermalNodes& n,
                                        const model::transmitter::HeatInput& q) {
    const double i2 = q.rms_a * q.rms_a;
    const double link = 1 / n.winding_electronics_k_per_w;
    const double winding =
        (i2 * q.winding_r20_ohm * q.winding_alpha20_per_k - 1 / n.winding_ambient_k_per_w - link) /
        n.winding_j_per_k;
    const double electronics =
        (i2 * q.bridge_r25_ohm * q.bridge_beta25_per_k - 1 / n.electronics_ambient_k_per_w - link) /
        n.electronics_j_per_k;
    const double mean = (winding + electronics) / 2;
    const double spread = std::hypot((winding - electronics) / 2,
                                     std::sqrt(link / n.winding_j_per_k * (link / n.electronics_j_per_k)));
    return {mean - spread, mean + spread};
}

// "time_winding_to_75C_s": the limit is in the key.
double limit_in(const std::string& key) {
    const auto from = key.find("_to_") + 4;
    return std::stod(key.substr(from));
}

CaseOutputs constant_current(const json& in, const json& expected) {
    const Inputs i = inputs_of(in);
    const double horizon = number_or(in, "time_limit_for_reach_s", 36000);
    const auto values = eigenvalues_per_s(i.nodes, i.heat);
    const auto steady = model::transmitter::steady_temperatures(i.nodes, i.heat, i.ambient_c);
    json out{{"eigenvalues_per_s", {values[0], values[1]}},
             {"steady_winding_C", steady ? json(steady->winding_c) : json(nullptr)},
             {"steady_electronics_C", steady ? json(steady->electronics_c) : json(nullptr)}};
    // Of an uncoupled winding: 1/sqrt(R20 a Rwa).
    model::transmitter::ThermalNodes alone = i.nodes;
    alone.winding_electronics_k_per_w = model::transmitter::no_link;
    model::transmitter::HeatInput copper = i.heat;
    copper.bridge_r25_ohm = 0;
    out["runaway_current_A_rms"] = model::transmitter::runaway_current_a(alone, copper);
    json trace = json::array();
    for (const json& row : expected.value("trace", json::array())) {
        const double t = row.at("time_s").get<double>();
        const model::transmitter::Temperatures then =
            model::transmitter::after_heating(i.nodes, i.heat, i.ambient_c, i.start, t);
        trace.push_back({{"time_s", t},
                         {"winding_C", then.winding_c},
                         {"electronics_C", then.electronics_c},
                         {"winding_R_ohm", i.heat.winding_r20_ohm *
                                               (1 + i.heat.winding_alpha20_per_k * (then.winding_c - 20))}});
    }
    out["trace"] = trace;
    for (const auto& [key, value] : expected.items()) {
        const bool winding = key.starts_with("time_winding_to_");
        if (!winding && !key.starts_with("time_electronics_to_")) continue;
        out[key] = or_null(model::transmitter::time_to_limit_s(
            i.nodes, i.heat, i.ambient_c, i.start,
            winding ? model::transmitter::HeatNode::winding : model::transmitter::HeatNode::electronics,
            limit_in(key), horizon));
    }
    return {out, {}};
}

CaseOutputs duty_cycle(const json& in, const json& expected) {
    const Inputs i = inputs_of(in);
    const auto spans = in.at("pattern_duration_s").get<std::vector<double>>();
    const auto currents = in.at("pattern_I_rms_A").get<std::vector<double>>();
    same_length(in, "pattern_duration_s", "pattern_I_rms_A");
    const double winding_limit = in.at("winding_limit_C").get<double>();
    const double electronics_limit = in.at("electronics_limit_C").get<double>();
    const int cycles = whole_input(in, "max_cycles");
    std::vector<model::transmitter::HeatSegment> pattern;
    double period = 0;
    for (std::size_t s = 0; s < spans.size(); ++s) {
        pattern.push_back({spans[s], currents[s]});
        period += spans[s];
    }
    json out{{"first_time_winding_limit_s", nullptr}, {"first_time_electronics_limit_s", nullptr}};
    model::transmitter::Temperatures now = i.start;
    std::vector<model::transmitter::Temperatures> hottest;  // by cycle, over the ends of its segments
    double time_s = 0;
    for (int cycle = 0; cycle < cycles; ++cycle) {
        model::transmitter::Temperatures hot{-1e300, -1e300};
        for (const model::transmitter::HeatSegment& s : pattern) {
            model::transmitter::HeatInput heat = i.heat;
            heat.rms_a = s.rms_a;
            const auto look = [&](const char* key, model::transmitter::HeatNode node, double limit) {
                if (!out[key].is_null()) return;
                const auto t = model::transmitter::time_to_limit_s(i.nodes, heat, i.ambient_c, now, node,
                                                                   limit, s.duration_s);
                if (t) out[key] = time_s + *t;
            };
            look("first_time_winding_limit_s", model::transmitter::HeatNode::winding, winding_limit);
            look("first_time_electronics_limit_s", model::transmitter::HeatNode::electronics,
                 electronics_limit);
            now = model::transmitter::after_heating(i.nodes, heat, i.ambient_c, now, s.duration_s);
            time_s += s.duration_s;
            hot.winding_c = std::max(hot.winding_c, now.winding_c);
            hot.electronics_c = std::max(hot.electronics_c, now.electronics_c);
        }
        hottest.push_back(hot);
    }
    // Sampled at the ends of the cycles the case names; without any, the first, the tenth and the last.
    std::vector<int> sampled;
    for (const json& row : expected.value("temps_at_cycle_end", json::array()))
        sampled.push_back(static_cast<int>(std::lround(row.at("time_s").get<double>() / period)));
    const auto outside = [&](int n) { return n < 1 || n > cycles; };
    if (sampled.empty() || std::any_of(sampled.begin(), sampled.end(), outside))
        sampled = {1, std::min(10, cycles), cycles};
    json ends = json::array();
    for (const int n : sampled) {
        const model::transmitter::Temperatures& hot = hottest.at(static_cast<std::size_t>(n - 1));
        ends.push_back({{"time_s", n * period},
                        {"max_end_of_segment_winding_C", hot.winding_c},
                        {"max_end_of_segment_electronics_C", hot.electronics_c}});
    }
    out["temps_at_cycle_end"] = ends;
    const auto periodic = model::transmitter::periodic_temperatures(i.nodes, i.heat, i.ambient_c, pattern);
    out["periodic_start_winding_C"] = periodic ? json(periodic->winding_c) : json(nullptr);
    out["periodic_start_electronics_C"] = periodic ? json(periodic->electronics_c) : json(nullptr);
    return {out, {}};
}

}  // namespace

void add_heat_runners(CaseRunners& runners) {
    runners["constant_current"] = {.compute = constant_current};
    runners["duty_cycle"] = {.compute = duty_cycle};
}

}  // namespace ampturn::reference
