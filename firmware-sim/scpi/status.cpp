#include "firmware-sim/scpi/status.hpp"

#include <utility>

namespace ampturn::sim::scpi {

void RegisterGroup::set_condition(std::uint16_t now) {
    now &= 0x7FFF;
    const auto rising = static_cast<std::uint16_t>(now & ~condition_);
    const auto falling = static_cast<std::uint16_t>(condition_ & ~now);
    event_ = static_cast<std::uint16_t>(event_ | (rising & positive_) | (falling & negative_));
    condition_ = now;
}

std::uint16_t RegisterGroup::take_event() { return std::exchange(event_, std::uint16_t{0}); }

void RegisterGroup::preset() {
    enable_ = 0;
    positive_ = 0x7FFF;
    negative_ = 0;
}

void Status::report(Error error) {
    const int code = static_cast<int>(error.code);
    if (code <= -400) {
        set_event(esr::query_error);
    } else if (code <= -300) {
        set_event(esr::device_error);
    } else if (code <= -200) {
        set_event(esr::execution_error);
    } else if (code <= -100) {
        set_event(esr::command_error);
    }
    errors_.push(std::move(error));
}

std::uint8_t Status::take_event() { return std::exchange(event_, std::uint8_t{0}); }

std::uint8_t Status::byte(bool message_available) const {
    unsigned bits = 0;
    if (!errors_.empty()) bits |= stb::error_queue;
    if (questionable.summary()) bits |= stb::questionable;
    if (message_available) bits |= stb::message_available;
    if ((event_ & event_enable_) != 0) bits |= stb::standard_event;
    if (operation.summary()) bits |= stb::operation;
    if ((bits & service_enable_) != 0) bits |= stb::master_summary;
    return static_cast<std::uint8_t>(bits);
}

void Status::clear() {
    event_ = 0;
    operation.clear_event();
    questionable.clear_event();
    errors_.clear();
}

}  // namespace ampturn::sim::scpi
