#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "model/transmitter/plant_flow.hpp"
#include "scheduler/run/unit.hpp"

namespace ampturn::run {

/// A sweep as the unit sends it, from one that was sent whole: what the core commands and for how long. The same for every
/// sweep of a table that nothing breaks off. The levels of a ramp count as one piece, and so does what
/// lies between two steps.
class SweepPattern {
  public:
    struct Piece {
        core::State state;
        core::Drive drive;
        core::Progress progress;
        double span_s;
        double mean_square_amplitude;  // of a ramp; else as the drive is
    };
    /// Intervals of the sweep, in order, from its first second of sending on.
    void add(const Interval& interval);
    const std::vector<Piece>& pieces() const { return pieces_; }

  private:
    std::vector<Piece> pieces_;
};

/// When a replayed sweep begins, and the weather against true seconds since the unit was made.
struct ReplayStart {
    double now_s, first_step_s;  // until the first step the power stage is off
    std::function<double(double unit_s)> ambient_c, battery_c;
};

/// What a replayed sweep came to: pieces as intervals, and the plant at their end.
struct ReplayedSweep {
    std::vector<Interval> intervals;
    model::transmitter::PlantState end;
    double end_s;
};

/// Sweeps by their pattern instead of by the sequencer, for who runs a day many times over: the circuit is solved once a dwell
/// (or once in 20 s of it), at its middle, and a ramp is taken at its root mean square amplitude, solved again when the
/// windings have changed by 2 K, the electronics by 5 K or the battery's voltage by half a per cent.
class SweepReplay {
  public:
    /// All outlive it.
    SweepReplay(const SweepPattern& pattern, const core::Config& config)
        : pattern_(pattern), config_(config), kept_(pattern.pieces().size()) {}

    /// A sweep from the unit's plant as it is; the unit does not move. Empty where anything the core judges comes near its
    /// limit (0.1 V, 3 K, 5 % of a current): then the sequencer has to send it.
    std::optional<ReplayedSweep> replay(const Unit& unit, const ReplayStart& start);

  private:
    struct Kept {
        std::optional<model::transmitter::Flow> flow;
        model::transmitter::Moving at{};
    };
    bool far_from_trips(const model::transmitter::PlantReadings& end, const SweepPattern::Piece& piece) const;

    const SweepPattern& pattern_;
    const core::Config& config_;
    std::vector<Kept> kept_;  // piece by piece, what flowed last
};

}  // namespace ampturn::run
