#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "model/emission/emission_limits.hpp"
#include "model/loop/loop_selection.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/setup/survey_setup.hpp"

/// What the transmitter radiates, line by line: every step's fundamental and odd harmonics to the 25th, with the current of a
/// rested battery and cold copper. A planning aid, never legal advice.
namespace ampturn::emission {

/// One line at one distance from the loop's centre, in the worst direction, rms. Free space: a dipole of the whole moment at
/// the loop's centre (model/emission/free_space_dipole.hpp), which is no less than what the loop makes at that distance from
/// its nearest part. Where two loops carry current their fields are added by size.
struct FieldStrength {
    double distance_m;
    double free_h_a_per_m, free_e_v_per_m;
    std::optional<double> ground_h_a_per_m;  // at the ground, over the plan's earth; see GroundField
    double largest_h_a_per_m() const;
    /// What a limit of electric field is held against: E, or the impedance of free space times the largest H, as a loop that
    /// measures reads it; the larger.
    double counted_e_v_per_m() const;
    /// The strength that a limit of this field is held against.
    double counted(model::emission::LimitedField field) const;
};

struct Line {
    int step_number;  // from 1
    model::loop::LoopSelection loop;
    int order;  // 1: the fundamental
    double frequency_hz;
    std::array<double, 2> moment_a_m2_rms;  // of loops A and B; 0: carries none
};

inline constexpr std::array told_distances_m{10.0, 30.0, 300.0};
struct StepEmission {
    Line line;  // the fundamental
    std::array<FieldStrength, told_distances_m.size()> at;
};

/// A limit and the line that does worst against it.
struct LimitVerdict {
    model::emission::EmissionLimit limit;
    std::string key;  // of the plan
    struct Worst {
        Line line;
        FieldStrength field;
        double strength, allowed;  // A/m or V/m, rms
        double excess_db() const;  // above 0: over the limit
    };
    std::optional<Worst> worst;  // empty: no line of the sweep in its band
};

/// A service that lines fall on, and the strongest of them.
struct ServiceHit {
    plan::AvoidedService service;
    Line line;
    FieldStrength field;  // at the first of told_distances_m
    int lines;            // in all
};

struct SweepEmission {
    std::vector<StepEmission> steps;     // that the battery can deliver
    std::vector<LimitVerdict> verdicts;  // in the order of the plan
    std::vector<ServiceHit> services;
};

/// `setup` is the plan's own.
SweepEmission emission_of(const plan::Plan& plan, const setup::SweepSetup& setup);

}  // namespace ampturn::emission
