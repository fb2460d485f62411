#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "scheduler/core/states.hpp"
#include "scheduler/core/time.hpp"
#include "scheduler/core/trips.hpp"

namespace ampturn::core {

enum class RecordKind : std::uint8_t {
    state = 0,  ///< detail: from * 16 + to; value: Event
    trip,       ///< detail: Trip; value: what was measured, in the unit of the reading (0 where nothing is)
    trip_cleared,  ///< detail: Trip; value as above
    step,          ///< a step starts; detail: step index; value: sweep index
    control,       ///< detail: Control; value: Reply
    table,         ///< a table was offered; detail: Refusal; value: step index
    mark,          ///< a UTC mark arrived; value: its error against the extrapolated clock, in ticks
};
inline constexpr std::size_t record_kind_count = 7;

/// One line of the unit's memory, 16 bytes.
struct Record {
    Instant at;
    std::int32_t value = 0;
    RecordKind kind = RecordKind::state;
    std::uint8_t detail = 0;
    std::uint16_t count = 1;  ///< trips of one cause merged into this record (65 535 means that many or more)
    constexpr bool operator==(const Record&) const = default;
};

/// The last 64 records, oldest first. When full, room is made from the oldest on: the first record that is
/// not a trip goes, or the first two trips of one cause become one with the sum of their counts, whichever
/// comes first (at the twelfth at the latest, there being eleven causes). So a trip is never lost, however
/// long nobody reads, and a push takes bounded time.
class RecordRing {
  public:
    static constexpr std::size_t capacity = 64;

    void push(const Record& record);
    /// Takes the oldest; false if there is none.
    bool pop(Record& out);
    std::size_t size() const { return size_; }
    /// Records (not trips) that had to make room since power-on.
    std::uint32_t lost_count() const { return lost_count_; }

  private:
    std::size_t slot(std::size_t index) const { return (first_ + index) % capacity; }
    void remove(std::size_t index);
    void make_room();

    std::array<Record, capacity> records_{};
    std::uint8_t first_ = 0;
    std::uint8_t size_ = 0;
    std::uint32_t lost_count_ = 0;
};

}  // namespace ampturn::core
