#pragma once

#include <chrono>
#include <string>

#include "scheduler/core/time.hpp"

namespace ampturn::sim::host {

/// Ties virtual time to the wall clock: a factor, or as fast as can be, or standing still. The wall clock
/// only paces; nothing in the simulation reads it.
class Pacer {
  public:
    using Wall = std::chrono::steady_clock::time_point;
    static constexpr double unpaced = 0;

    /// speed > 0, or unpaced.
    Pacer(std::uint32_t clock_hz, double speed, Wall now)
        : clock_hz_(clock_hz), speed_(speed), anchor_wall_(now) {}

    bool paused() const { return paused_; }
    double speed() const { return speed_; }
    bool is_unpaced() const { return speed_ == unpaced; }

    /// The virtual moment for a wall moment; where time stood last when paused or flat out.
    core::Instant at(Wall now) const;
    /// When the virtual moment will come; Wall::max() when paused or flat out.
    Wall wall_of(core::Instant t) const;

    /// Virtual time has come to `t` by other means (flat out, a step): pacing goes on from there.
    void anchor(core::Instant t, Wall now);
    void pause(Wall now);
    void resume(Wall now);
    void set_speed(double speed, Wall now);

    /// "1", "60", "max": the word of --speed; throws plan::InputError otherwise.
    static double parse_speed(const std::string& text);
    std::string speed_text() const;

  private:
    std::uint32_t clock_hz_;
    double speed_;
    bool paused_ = false;
    Wall anchor_wall_;
    core::Instant anchor_{0u};
};

}  // namespace ampturn::sim::host
