#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "scheduler/plan/plan.hpp"
#include "scheduler/transmitter/transmitter_sheet.hpp"
#include "scheduler/weigh/choices.hpp"
#include "scheduler/weigh/front.hpp"
#include "scheduler/weigh/load.hpp"
#include "scheduler/weigh/sender.hpp"
#include "scheduler/weigh/stock.hpp"

namespace ampturn::weigh {

/// What stops a sender; each is counted at the first of these that does.
enum class Stop { weight, loads, drive, insulation, moment, energy };
inline constexpr std::array stops{Stop::weight,     Stop::loads,  Stop::drive,
                                  Stop::insulation, Stop::moment, Stop::energy};
/// "weight (limits.weight_kg)"
const char* name_of(Stop stop);

/// One step of a sender at its most, as the unit's table can say it (whole milliamperes).
struct DrivenStep {
    int turns = 0;
    int joined = -1;  // capacitor of Weighed::joined, -1: none
    double current_a_peak = 0, moment_a_m2 = 0, battery_w = 0;
    model::transmitter::Limit limited_by = model::transmitter::Limit::battery_power;
    /// More moment, or as much for fewer watts.
    bool better_than(const DrivenStep& other) const {
        return moment_a_m2 > other.moment_a_m2 ||
               (moment_a_m2 == other.moment_a_m2 && battery_w < other.battery_w);
    }
};

/// A sender with its bank.
struct Design {
    Sender sender;
    Bank bank;
    Worth worth;
    int loads = 0;
    double capacitors_kg = 0;
    double used_wh = 0, carried_wh = 0;
    std::vector<DrivenStep> steps;
};

/// A design on the front, run again as a plan of its own.
struct FrontPoint {
    Design design;
    plan::Plan plan;
    transmitter::TransmitterSheet sheet;
    std::vector<CarriedPiece> pieces;
    TransportClass transport;
};

struct Weighed {
    std::vector<JoinedCapacitor> joined;
    std::vector<double> frequencies_hz;
    std::size_t senders = 0;
    std::size_t designs = 0;  // looked at, those stopped included
    std::size_t senders_cut =
        0;  // whose banks were too many: capacitors were left out, and the search is not exhaustive
    std::array<std::size_t, stops.size()> stopped{};
    std::vector<FrontPoint> front;  // lightest first
    std::size_t chosen = 0;         // of front
    bool exhaustive() const { return senders_cut == 0; }
};

inline constexpr std::size_t senders_max = 20'000;
inline constexpr std::size_t points_max = 5'000'000;  // operating points to solve

struct WeighOptions {
    unsigned threads = 1;
    std::optional<int> chosen;  // of the front, from 1; empty: by search.choose
};

/// Every sender that the choices allow: largest moment at each frequency over taps and capacitors of the bank, drive lowered to
/// hold current, capacitor volts and, for ever, heat; then the front of moment, weight and watt-hours. Exhaustive, but for
/// banks where there are more than search.banks_max. The same whatever the thread count. InputError when a choice cannot
/// be, when there are too many, or when limits leave no sender (saying which stops most).
Weighed weigh(const plan::Plan& plan, const Choices& choices, const WeighOptions& options);

/// A design as a plan: loops, driver, battery and bank in it, each step with its tap, capacitor and current.
plan::Plan plan_of(const plan::Plan& plan, const Choices& choices, const Design& design,
                   const std::vector<JoinedCapacitor>& joined);

}  // namespace ampturn::weigh
