#pragma once

#include <cstddef>
#include <functional>
#include <string>
#include <string_view>

#include "scheduler/field_request/field_points.hpp"

namespace ampturn::field_request {

/// How an answer is written.
enum class PointFormat {
    json,    ///< one object: layout, columns, and rows
    csv,     ///< a header, and a line a row, with ground, frequency, receiver and source
    float64  ///< the columns of each row as binary little-endian doubles; describe_points() says what they are
};

/// Columns of a row: real and imaginary parts of Ex, Ey, Hx, Hy, Hz, error estimates of E and H, way of integrating (0 to 3, in
/// the order of model::fields::Integration) and number of dipoles the source was made of.
inline constexpr std::size_t point_columns = 14;

/// In the description of an answer whose grounds are of a list.
inline constexpr const char* points_schema = "ampturn.points";
/// What a description calls a format.
const char* type_text(PointFormat format);

/// What stands around the rows of an answer; `between` the rows of one part of a list and those of the next.
struct AroundRows {
    std::string before, between, after;
};
/// `layout`: of a description, without what it says of the data file.
AroundRows around_rows(Node::Json layout, PointFormat format);

/// Computes in order and hands out the text piece by piece, so that no more than a few blocks are in memory at a time. The text
/// does not depend on `threads` (at least 1).
void write_points(const FieldPoints& points, PointFormat format, unsigned threads,
                  const std::function<void(std::string_view)>& out);

/// What is in an answer that was written to `data_file`, as JSON: type, bytes, shape, order, columns, frequencies and, where the
/// grounds are of a list, which ones. merge_points() puts answers of parts of a list together by it.
std::string describe_points(const FieldPoints& points, PointFormat format, const std::string& data_file,
                            std::size_t bytes);

}  // namespace ampturn::field_request
