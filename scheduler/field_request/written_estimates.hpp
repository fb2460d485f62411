#pragma once

#include "model/fields/fields.hpp"

namespace ampturn::field_request {

/// Error estimates as answers have them: two significant digits, rounded up, and at least 1e-11 of the vector (what is smaller is the
/// rounding of a last bit, and differs between machines).
struct WrittenEstimates {
    explicit WrittenEstimates(const model::fields::FieldResult& result);
    double e_v_per_m, h_a_per_m;
    double e_rel, h_rel;  // of the largest component
};

}  // namespace ampturn::field_request
