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

/// One line at one distance from the loop, its nearest part, in the worst direction, rms. Free space: a dipole of the whole
/// moment at that distance, no less than what the loop makes there (model/emission/free_space_dipole.hpp), and much more
/// where the loop is as large as the distance. Ground: see GroundField. Fields of two loops are added by size.
struct FieldStrength {
    double distance_m;
    double free_h_a_per_m, free_e_v_per_m;
    std::optional<double> ground_h_a_per_m;  // at the ground, over the plan's earth
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

/// A line held against a limit.
struct AgainstLimit {
    Line line;
    FieldStrength field;
    double strength, allowed;   // A/m or V/m, rms
    std::size_t verdict_index;  // of the limit, in SweepEmission::verdicts
    double excess_db() const;   // above 0: over the limit
};

struct StepEmission {
    Line line;  // the fundamental
    std::array<FieldStrength, told_distances_m.size()> at;
    std::optional<AgainstLimit>
        worst;  // of its lines and all limits; empty: none of its lines in the band of a limit
};

/// A limit and the line that does worst against it.
struct LimitVerdict {
    model::emission::EmissionLimit limit;
    std::string key;                    // of the plan
    std::optional<AgainstLimit> worst;  // empty: no line of the sweep in its band
};

/// A service that lines fall on, and the strongest of them.
struct ServiceHit {
    plan::AvoidedService service;
    Line line;
    FieldStrength field;  // at the first of told_distances_m
    int lines;            // in all
};

/// A harmonic, not a fundamental, in the band of a service and above a limit there.
struct HarmonicOnService {
    plan::AvoidedService service;
    AgainstLimit against;  // the limit it is most above
};

struct SweepEmission {
    std::vector<StepEmission> steps;     // that the battery can deliver
    std::vector<LimitVerdict> verdicts;  // in the order of the plan
    std::vector<ServiceHit> services;
    std::vector<HarmonicOnService> harmonics;  // line by line; none for a plan without limits
};

/// `setup` is the plan's own.
SweepEmission emission_of(const plan::Plan& plan, const setup::SweepSetup& setup);

}  // namespace ampturn::emission
