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

void RecordRing::make_room() {
    for (std::size_t i = 0; i < size_; ++i) {
        if (records_[slot(i)].kind == RecordKind::trip) continue;
        remove(i);
        ++lost_count_;
        return;
    }
    // Every record is a trip. Two of the oldest twelve share one of eleven causes.
    for (std::size_t later = 1; later <= trip_count; ++later) {
        for (std::size_t earlier = 0; earlier < later; ++earlier) {
            Record& kept = records_[slot(later)];
            const Record& merged = records_[slot(earlier)];
            if (kept.detail != merged.detail) continue;
            const std::uint32_t count = std::uint32_t{kept.count} + merged.count;
            kept.count = static_cast<std::uint16_t>(count < 0xFFFF ? count : 0xFFFF);
            remove(earlier);
            return;
        }
    }
}

}  // namespace ampturn::core
