#include "scheduler/report/verdict_text.hpp"

namespace ampturn::plan {

char verdict_letter(const Reading& reading) {
    const bool capital = reading.required;
    switch (reading.verdict) {
        case Verdict::usable:
            return capital ? 'U' : 'u';
        case Verdict::noisy:
            return capital ? 'N' : 'n';
        case Verdict::biased:
            return capital ? 'B' : 'b';
        case Verdict::near_zone:
            return capital ? 'Z' : 'z';
        case Verdict::not_sent:
            return capital ? 'X' : 'x';
    }
    return '?';
}

std::string verdict_legend() {
    return "  U usable: error bars and bias inside the targets   N noisy: error bars too large\n"
           "  B biased: too close to the source for a plane wave  Z near zone: far off the plane wave\n"
           "  X not sent. Small letters: the plan does not ask for this reading.\n";
}

}  // namespace ampturn::plan
