#pragma once

#include "scheduler/field_request/request_node.hpp"

namespace ampturn::field_request {

/// What becomes of the lists of receivers of a request for points, which may have a million numbers.
enum class ReceiverLists {
    as_written,
    packed  ///< lists of numbers below `receivers` are held as their doubles, half the size (PackedNumbers)
};

/// The text as JSON; InputError with its line and column, and what is allowed, where it is none, or holds a number that no double
/// takes. The text is read once, and what is packed is never held as written.
Node::Json parse_request(const RequestText& request, const char* allowed,
                         ReceiverLists lists = ReceiverLists::as_written);

}  // namespace ampturn::field_request
