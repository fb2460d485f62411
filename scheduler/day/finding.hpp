#pragma once

#include <string>
#include <variant>
#include <vector>

#include "model/loop/loop_selection.hpp"
#include "model/transmitter/operating_point.hpp"
#include "scheduler/day/sweep_outcome.hpp"
#include "scheduler/day/sweep_stop.hpp"
#include "scheduler/reading/reading.hpp"

namespace ampturn::day {

/// What the reader of a day should know first: one alternative a kind, with its numbers. The words are
/// scheduler/report's.

struct StopCount {
    SweepStop stop;
    int sweeps;
};
struct SweepsSent {
    bool all;
    int whole;
    double day_end_s;
    std::vector<StopCount> lost, repeated;  // never sent whole; sent again after breaking off
};
/// Of a plan with receiver crews: how many sweeps it takes, and how many stations listen to each.
struct SweepsShared {
    std::vector<SweepsHeard> heard;
};
struct StationsReordered {};  // its numbers: DayResult::order
struct CrewsReordered {};     // its numbers: DayResult::crew_order
struct BatteryRanOut {
    int battery_number;
    bool at_cut_off;  // else no available charge was left, the terminals above the cut-off
    double cut_off_v, lowest_v;
    double time_s, delivered_ah;
};
struct CarryMoreBatteries {
    int needed, carried;
};
struct FewerBatteriesWouldDo {
    int needed, carried;
};
struct NoBatteriesSuffice {  // one set does not carry one sweep
    int tried;
};
struct ReadingsPassed {
    int passed, required;
    struct Failed {
        reading::Verdict verdict;
        int count;
    };
    std::vector<Failed> failed;  // verdicts that occur, the most interesting first
};
/// The verdicts rest on slopes that a class of coils is assumed to have: with flat ones others would pass.
struct CoilsAssumed {
    int passed, passed_with_flat_coils;
};
struct FrequenciesLost {
    enum class Why { too_near, too_weak };
    Why why;  // at most stations
    std::vector<double> frequencies_hz;
};
/// Frequencies of the sweep that are sent with one polarisation only.
struct NoTensorSent {
    std::vector<double> frequencies_hz;
};
struct MainsClash {
    double frequency_hz;
    int order;
};
struct StepsBelowTarget {
    struct Step {
        double frequency_hz;
        model::loop::LoopSelection loop;
        double current_a_peak, target_a_peak;
        model::transmitter::Limit limited_by;
    };
    std::vector<Step> steps;
};
struct SurveyRemarked {  // setup/remarks/survey_remarks.hpp
    std::string text;
};
using Finding =
    std::variant<SweepsSent, SweepsShared, StationsReordered, CrewsReordered, BatteryRanOut,
                 CarryMoreBatteries, FewerBatteriesWouldDo, NoBatteriesSuffice, ReadingsPassed, CoilsAssumed,
                 FrequenciesLost, NoTensorSent, MainsClash, StepsBelowTarget, SurveyRemarked>;

}  // namespace ampturn::day
