#include "scheduler/report/verdict_text.hpp"

namespace ampturn::report {

char verdict_letter(const reading::Reading& reading) {
    const bool capital = reading.required;
    switch (reading.verdict) {
        case reading::Verdict::usable:
            return capital ? 'U' : 'u';
        case reading::Verdict::noisy:
            return capital ? 'N' : 'n';
        case reading::Verdict::transition:
            return capital ? 'T' : 't';
        case reading::Verdict::near_field:
            return capital ? 'C' : 'c';
        case reading::Verdict::not_sent:
            return capital ? 'X' : 'x';
    }
    return '?';
}

std::string verdict_legend() {
    return "  U usable: error bars and bias inside the targets   N noisy: error bars too large\n"
           "  T transition: bias beyond the tolerance            C near field: far off the plane wave\n"
           "  X not sent. Small letters: the plan does not require this reading.\n";
}

}  // namespace ampturn::report
