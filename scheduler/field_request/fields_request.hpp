#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "scheduler/field_request/field_points.hpp"
#include "scheduler/field_request/request_node.hpp"

/// Requests for fields as JSON, in two layouts. Cases: the layout of tests/reference/em/cases_open.json, one case or lists under
/// the keys dipole_cases, loop_cases and impedance_cases; reference outputs in a request are ignored, and compared on
/// request. Points: grounds, frequencies, sources and receivers as lists, every one with every other (field_points.hpp).
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

/// A request that has been read. `file` is for messages only; every InputError names file, line, key, what was found and what is
/// allowed.
class FieldsRequest {
  public:
    /// InputError when the text is not a JSON object.
    FieldsRequest(std::string text, const std::string& file);

    /// What is asked for, when it is points; InputError when something is wrong with it.
    /// `list`: its grounds instead of the request's.
    /// Once: long lists are moved out of the request.
    std::optional<FieldPoints> points(std::optional<GroundList> list = {});
    /// Computes every case; the answer does not depend on `threads` (at least 1). Uses the request up.
    FieldsAnswer answer(unsigned threads = 1) &&;

  private:
    RequestText text_;
    Node::Json json_;
};

/// Counts and the worst case, for people.
std::string describe_comparisons(const FieldsAnswer& answer);
bool all_hold(const FieldsAnswer& answer);

}  // namespace ampturn::field_request
