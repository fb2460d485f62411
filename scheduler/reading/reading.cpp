#include "scheduler/reading/reading.hpp"

namespace ampturn::plan {

const char* word_of(Verdict verdict) {
    switch (verdict) {
        case Verdict::usable:
            return "usable";
        case Verdict::noisy:
            return "noisy";
        case Verdict::biased:
            return "biased";
        case Verdict::near_zone:
            return "near zone";
        case Verdict::not_sent:
            return "not sent";
    }
    return "?";
}

}  // namespace ampturn::plan
