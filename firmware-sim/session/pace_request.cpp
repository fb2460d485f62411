#include "firmware-sim/session/pace_request.hpp"

#include "scheduler/base/number_text.hpp"

namespace ampturn::sim::session {

std::optional<PaceRequest> pace_request_of(std::string_view words) {
    using Kind = PaceRequest::Kind;
    if (words == "pause") return PaceRequest{Kind::pause};
    if (words == "resume") return PaceRequest{Kind::resume};
    if (words == "speed max") return PaceRequest{Kind::unpaced};
    const std::size_t space = words.find(' ');
    if (space == std::string_view::npos) return std::nullopt;
    const std::string_view word = words.substr(0, space), number = words.substr(space + 1);
    const std::optional<double> value = base::number_in(number);
    if (!value) return std::nullopt;
    if (word == "speed" && *value >= 0.1 && *value <= 1000) return PaceRequest{Kind::speed, *value};
    if (word == "step" && *value > 0 && *value <= 3600) return PaceRequest{Kind::step, *value};
    return std::nullopt;
}

}  // namespace ampturn::sim::session
