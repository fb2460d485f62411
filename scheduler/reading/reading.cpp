#include "scheduler/reading/reading.hpp"

namespace ampturn::reading {

const char* name_of(Verdict verdict) {
    switch (verdict) {
        case Verdict::usable:
            return "usable";
        case Verdict::noisy:
            return "noisy";
        case Verdict::transition:
            return "transition";
        case Verdict::near_field:
            return "near field";
        case Verdict::not_sent:
            return "not sent";
    }
    return "?";
}

}  // namespace ampturn::reading
