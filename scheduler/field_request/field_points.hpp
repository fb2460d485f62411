#pragma once

#include <cstddef>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "model/fields/fields.hpp"
#include "model/ground/earth.hpp"
#include "scheduler/field_request/request_node.hpp"

namespace ampturn::field_request {

/// Every ground with every frequency, receiver and source.
struct FieldPoints {
    std::vector<model::ground::LayeredEarth> grounds;
    std::vector<double> frequencies_hz;
    std::vector<model::fields::Source> sources;
    std::vector<model::fields::Receiver> receivers;
    model::fields::FieldOptions options;

    /// Rows of an answer: the last varies fastest: ground, frequency, receiver, source.
    std::size_t row_count() const {
        return grounds.size() * frequencies_hz.size() * receivers.size() * sources.size();
    }
};

/// Whether a request is of this layout: it has frequencies_Hz.
bool asks_for_points(const Node& root);
/// Keys: model or models, wavenumbers, frequencies_Hz, sources, receivers (x_m, y_m, or offset_m and bearing_deg; and z_m, a number or a
/// list), tolerance, integration. InputError for what is wrong.
FieldPoints field_points_of(const Node& root);

/// How an answer is written.
enum class PointFormat {
    json,    ///< one object: layout, columns, and rows
    csv,     ///< a header, and a line a row, with ground, frequency, receiver and source
    float64  ///< the columns of each row as binary little-endian doubles; describe_points() says what they are
};

/// Columns of a row: real and imaginary parts of Ex, Ey, Hx, Hy, Hz, error estimates of E and H, way of integrating (0 to 3, in
/// the order of model::fields::Integration) and number of dipoles the source was made of.
inline constexpr std::size_t point_columns = 14;

/// Computes in order and hands out the text piece by piece, so that no more than a few blocks are in memory at a time. The text
/// does not depend on `threads` (at least 1).
void write_points(const FieldPoints& points, PointFormat format, unsigned threads,
                  const std::function<void(std::string_view)>& out);

/// What is in a float64 answer, as JSON: shape, order, columns, grounds' count, frequencies, receivers' count, byte order.
std::string describe_points(const FieldPoints& points, const std::string& data_file);

}  // namespace ampturn::field_request
