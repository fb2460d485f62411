#pragma once

#include <cstdint>

#include "firmware-sim/scpi/errors.hpp"

namespace ampturn::sim::scpi {

/// Bits of the standard event status register (IEEE 488.2, 11.5.1).
namespace esr {
inline constexpr std::uint8_t operation_complete = 0x01, query_error = 0x04, device_error = 0x08,
                              execution_error = 0x10, command_error = 0x20, user_request = 0x40,
                              power_on = 0x80;
}
/// Bits of the status byte (IEEE 488.2, 11.2; SCPI-99, volume 1, 9.1).
namespace stb {
inline constexpr std::uint8_t error_queue = 0x04, questionable = 0x08, message_available = 0x10,
                              standard_event = 0x20, master_summary = 0x40, operation = 0x80;
}
/// Bits of the operation and questionable registers used here (SCPI-99, volume 1, 9.3 and 9.4).
namespace operation {
inline constexpr std::uint16_t settling = 1 << 1, sweeping = 1 << 3, waiting_for_trigger = 1 << 5,
                               waiting_for_arm = 1 << 6;
}
namespace questionable {
inline constexpr std::uint16_t voltage = 1 << 0, current = 1 << 1, time = 1 << 2, temperature = 1 << 4,
                               frequency = 1 << 5,
                               emergency_stop = 1 << 9;  // the first left to the designer
}

/// A register group of SCPI-99 (volume 1, chapter 9): condition, transition filters, latched event, enable.
/// Bit 15 is always 0.
class RegisterGroup {
  public:
    void set_condition(std::uint16_t now);
    std::uint16_t condition() const { return condition_; }
    /// Reads and clears.
    std::uint16_t take_event();
    void clear_event() { event_ = 0; }
    bool summary() const { return (event_ & enable_) != 0; }
    /// Enables 0, positive transitions only: the values of STATus:PRESet.
    void preset();

    std::uint16_t enable() const { return enable_; }
    std::uint16_t positive() const { return positive_; }
    std::uint16_t negative() const { return negative_; }
    void set_enable(std::uint16_t mask) { enable_ = mask & 0x7FFF; }
    void set_positive(std::uint16_t mask) { positive_ = mask & 0x7FFF; }
    void set_negative(std::uint16_t mask) { negative_ = mask & 0x7FFF; }

  private:
    std::uint16_t condition_ = 0, event_ = 0, enable_ = 0, positive_ = 0x7FFF, negative_ = 0;
};

/// The status of one client: IEEE 488.2 registers, the two SCPI groups and the error queue.
class Status {
  public:
    RegisterGroup operation, questionable;

    /// Queues the error and sets the bit of its class in the event status register.
    void report(Error error);
    void set_event(std::uint8_t bits) { event_ = static_cast<std::uint8_t>(event_ | bits); }
    std::uint8_t take_event();
    std::uint8_t event_enable() const { return event_enable_; }
    std::uint8_t service_enable() const { return service_enable_; }
    void set_event_enable(std::uint8_t mask) { event_enable_ = mask; }
    /// Bit 6 cannot be enabled (IEEE 488.2, 11.3.2.3).
    void set_service_enable(std::uint8_t mask) { service_enable_ = mask & 0xBF; }
    /// *STB?: bit 6 is the master summary; nothing is cleared.
    std::uint8_t byte(bool message_available) const;
    /// *CLS: events and error queue; enables and filters stay.
    void clear();
    ErrorQueue& errors() { return errors_; }

  private:
    std::uint8_t event_ = esr::power_on;
    std::uint8_t event_enable_ = 0, service_enable_ = 0;
    ErrorQueue errors_;
};

}  // namespace ampturn::sim::scpi
