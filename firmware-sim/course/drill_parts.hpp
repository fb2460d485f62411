#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "firmware-sim/site/fault.hpp"

namespace ampturn::sim::course {

/// What a trainer chooses in the form for a new drill.
struct DrillParts {
    struct Trouble {
        site::Fault fault = site::Fault::person_in_ring;
        std::optional<double> after_sending_s;  // nothing: from the beginning
    };
    std::string id;  // the file's name: 1 to 40 small letters, digits and underscores
    std::string title, story;
    int level = 2;
    bool connected = true;
    double air_c = 15, battery_state_of_charge = 1;
    double time_limit_s = 2400, pass_percent = 70;
    std::vector<Trouble> troubles;  // each fault once
};

/// Of a JSON object with the members named as above (`troubles`: a list of {fault, after_sending_s}); what is left out stays as
/// above. InputError, with the member as key, for what is missing, unknown or out of range.
DrillParts parts_of_json(std::string_view json);

/// The drill as a file: the start, a happening for each trouble, what a good operator does, and rules that go with
/// the troubles: found, mended, looked at again; stopped in time where people are in danger; and the usual order around them.
std::string drill_toml(const DrillParts& parts);

}  // namespace ampturn::sim::course
