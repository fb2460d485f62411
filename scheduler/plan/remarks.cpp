#include "scheduler/plan/remarks.hpp"

#include <algorithm>
#include <utility>

namespace ampturn::plan {

std::vector<Remark> in_order_of_the_file(std::vector<Remark> remarks) {
    std::stable_sort(remarks.begin(), remarks.end(), [](const Remark& left, const Remark& right) {
        return left.position.line < right.position.line;
    });
    return remarks;
}

void Remarks::add(const std::string& key, std::string text) {
    remarks_.push_back({plan_.positions.of(key), key, std::move(text)});
}

std::vector<Remark> Remarks::sorted() && { return in_order_of_the_file(std::move(remarks_)); }

}  // namespace ampturn::plan
