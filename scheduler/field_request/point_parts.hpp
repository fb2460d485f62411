#pragma once

#include <string>
#include <vector>

namespace ampturn::field_request {

/// Puts answers to one request over parts of one list of grounds together: `descriptions` are the files that describe_points() wrote
/// beside the data. Writes to `out` and `out`.json the bytes of an answer over the whole list, reading the data piece by piece.
/// InputError, naming the file and the grounds, for a part that is missing, short, there twice, or of another request, list, format or
/// version.
void merge_points(const std::vector<std::string>& descriptions, const std::string& out);

}  // namespace ampturn::field_request
