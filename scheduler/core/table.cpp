#include "scheduler/core/table.hpp"

namespace ampturn::core {

bool Table::operator==(const Table& other) const {
    if (table_id != other.table_id || sweep_count != other.sweep_count || step_count != other.step_count)
        return false;
    for (std::size_t i = 0; i < used().size(); ++i)
        if (steps[i] != other.steps[i]) return false;
    return true;
}

}  // namespace ampturn::core
