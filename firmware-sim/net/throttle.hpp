#pragma once

#include <algorithm>
#include <chrono>

namespace ampturn::sim::net {

/// How often a client may be heard: so many messages at once, so many a second in the long run. A client that floods waits;
/// nothing of it is lost. Ours; far above what a person or a careful script sends.
class Throttle {
  public:
    using Clock = std::chrono::steady_clock;
    Throttle(double at_once, double per_second) : most_(at_once), per_second_(per_second), left_(at_once) {}

    /// Takes one message; how long to wait before it is dealt with, 0 when there is room.
    std::chrono::nanoseconds take(Clock::time_point now) {
        if (last_ != Clock::time_point{})
            left_ = std::min(most_, left_ + per_second_ * std::chrono::duration<double>(now - last_).count());
        last_ = now;
        left_ -= 1;
        if (left_ >= 0) return std::chrono::nanoseconds{0};
        return std::chrono::nanoseconds{static_cast<std::int64_t>(-left_ / per_second_ * 1e9)};
    }

  private:
    double most_, per_second_, left_;
    Clock::time_point last_{};
};

}  // namespace ampturn::sim::net
