#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

/// Field cases as JSON: the layout of tests/reference/em/cases_open.json. One case, or lists under the keys
/// dipole_cases, loop_cases and impedance_cases. Reference outputs in a request are ignored, and compared on request.
namespace ampturn::field_request {

/// How one computed case compares with the reference output that came with the request.
struct FieldsComparison {
    std::string id;      // the case's own, or its path in the file
    double e_error_rel;  // of the largest component of E; of the impedance for impedance cases
    double h_error_rel;  // of the largest component of H; 0 for impedance cases
    double allowed_rel;  // 1e-7, or the reference's own error where that is larger
    bool holds() const { return e_error_rel <= allowed_rel && h_error_rel <= allowed_rel; }
};

struct FieldsAnswer {
    std::string json;  // the request with computed fields, method and error estimates; ends in a newline
    std::size_t case_count = 0;
    std::vector<FieldsComparison> comparisons;  // of the cases that came with reference outputs
};

/// Computes every case of a request. `file_name` is for messages only. InputError names file, line, key, what
/// was found and what is allowed.
FieldsAnswer answer_fields_request(const std::string& text, const std::string& file_name);

/// Counts and the worst case, for people.
std::string describe_comparisons(const FieldsAnswer& answer);
bool all_hold(const FieldsAnswer& answer);

}  // namespace ampturn::field_request
