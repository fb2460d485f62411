#pragma once

#include <optional>
#include <string_view>

namespace ampturn::sim::session {

/// What a trainer asks of time.
struct PaceRequest {
    enum class Kind { pause, resume, speed, unpaced, step };
    Kind kind = Kind::pause;
    double value = 0;  // speed: virtual seconds a second, 0.1 to 1000; step: seconds, above 0 to 3600
};
inline constexpr const char* pace_form =
    "pause, resume, speed 0.1 to 1000, speed max, or step and up to 3600 seconds";
/// "pause", "resume", "speed 60", "speed max", "step 10"; nothing for any other words.
std::optional<PaceRequest> pace_request_of(std::string_view words);

}  // namespace ampturn::sim::session
