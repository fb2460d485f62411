#include "firmware-sim/host/pacer.hpp"

#include <fmt/format.h>

#include <cmath>
#include <optional>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/number_text.hpp"

namespace ampturn::sim::host {

core::Instant Pacer::at(Wall now) const {
    if (paused_ || is_unpaced() || now <= anchor_wall_) return anchor_;
    const double wall_s = std::chrono::duration<double>(now - anchor_wall_).count();
    return anchor_ + core::Ticks{static_cast<std::uint64_t>(wall_s * speed_ * clock_hz_)};
}

Pacer::Wall Pacer::wall_of(core::Instant t) const {
    if (paused_ || is_unpaced()) return Wall::max();
    if (t <= anchor_) return anchor_wall_;
    const double wall_s = static_cast<double>((t - anchor_).count()) / clock_hz_ / speed_;
    if (wall_s > 3600) return anchor_wall_ + std::chrono::hours(1);
    // Rounded up, so that the moment has really come when the wait is over.
    return anchor_wall_ + std::chrono::nanoseconds(static_cast<std::int64_t>(std::ceil(wall_s * 1e9)) + 1);
}

void Pacer::anchor(core::Instant t, Wall now) {
    anchor_ = t;
    anchor_wall_ = now;
}

void Pacer::pause(Wall now) {
    anchor(at(now), now);
    paused_ = true;
}

void Pacer::resume(Wall now) {
    anchor(at(now), now);
    paused_ = false;
}

void Pacer::set_speed(double speed, Wall now) {
    anchor(at(now), now);
    speed_ = speed;
}

double Pacer::parse_speed(const std::string& text) {
    if (text == "max") return unpaced;
    const std::optional<double> speed = base::number_in(text);
    if (!speed || !(*speed >= 0.1 && *speed <= 1000)) {
        throw base::InputError({.file = "--speed",
                                .position = {},
                                .key = {},
                                .found = text,
                                .allowed = "a number from 0.1 to 1000, or max"});
    }
    return *speed;
}

std::string Pacer::speed_text() const { return is_unpaced() ? "max" : fmt::format("{:g}", speed_); }

}  // namespace ampturn::sim::host
