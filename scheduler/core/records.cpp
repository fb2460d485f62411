#include "scheduler/core/records.hpp"

namespace ampturn::core {

void RecordRing::push(const Record& record) {
    if (size_ == capacity) make_room();
    records_[slot(size_)] = record;
    ++size_;
}

bool RecordRing::pop(Record& out) {
    if (size_ == 0) return false;
    out = records_[first_];
    first_ = static_cast<std::uint8_t>(slot(1));
    --size_;
    return true;
}

void RecordRing::remove(std::size_t index) {
    for (std::size_t i = index; i > 0; --i) records_[slot(i)] = records_[slot(i - 1)];
    first_ = static_cast<std::uint8_t>(slot(1));
    --size_;
}

/// Twelve records hold one that is not a trip, or two trips of one of eleven causes: an emergency stop is not
/// held up by a search through all 64.
void RecordRing::make_room() {
    std::array<std::uint8_t, trip_count> place_of_cause{};  // + 1; 0 is not seen yet
    for (std::size_t i = 0; i <= trip_count; ++i) {
        Record& record = records_[slot(i)];
        if (record.kind != RecordKind::trip) {
            remove(i);
            ++lost_count_;
            return;
        }
        std::uint8_t& place = place_of_cause[record.detail];
        if (place != 0) {
            const std::uint32_t count = std::uint32_t{record.count} + records_[slot(place - 1u)].count;
            record.count = static_cast<std::uint16_t>(count < 0xFFFF ? count : 0xFFFF);
            remove(place - 1u);
            return;
        }
        place = static_cast<std::uint8_t>(i + 1);
    }
}

}  // namespace ampturn::core
