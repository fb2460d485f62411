#pragma once

#include <complex>
#include <string>

#include "model/fields/fields.hpp"
#include "scheduler/field_request/fields_request.hpp"
#include "scheduler/field_request/request_node.hpp"

/// Cases, each with a ground, a frequency, a source and a receiver of its own.
namespace ampturn::field_request {

/// Computes all cases under `root` (one, or lists), those with ground, frequency and source in common together, and writes what
/// they give into them.
FieldsAnswer answer_cases(Node::Json& request, const RequestText& text, unsigned threads);

}  // namespace ampturn::field_request
