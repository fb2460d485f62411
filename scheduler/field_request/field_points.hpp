#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "model/fields/fields.hpp"
#include "model/ground/earth.hpp"
#include "scheduler/field_request/ground_list.hpp"
#include "scheduler/field_request/receiver_list.hpp"
#include "scheduler/field_request/request_node.hpp"

namespace ampturn::field_request {

/// Where the grounds of an answer stand in the list they come from.
struct GroundsOfList {
    base::PartRange range;
    int total;
    std::vector<std::string> names;  // one a ground
    std::uint32_t list_crc32, request_crc32;
};

/// Every ground with every frequency, receiver and source.
struct FieldPoints {
    std::vector<model::ground::LayeredEarth> grounds;
    std::vector<double> frequencies_hz;
    std::vector<model::fields::Source> sources;
    ReceiverList receivers;
    model::fields::FieldOptions options;
    std::optional<GroundsOfList> list;  // where the grounds are not the request's own

    /// Rows of an answer: the last varies fastest: ground, frequency, receiver, source.
    std::size_t row_count() const {
        return grounds.size() * frequencies_hz.size() * receivers.size() * sources.size();
    }
};

/// Whether a request is of this layout: it has frequencies_Hz.
bool asks_for_points(const Node& root);
/// Keys: model or models, wavenumbers, frequencies_Hz, sources, receivers (x_m, y_m, or offset_m and bearing_deg; and z_m, a number or a
/// list), tolerance, integration. InputError for what is wrong. With a list of grounds, the request has none of its own.
/// Moves long lists out of the request.
FieldPoints field_points_of(Node::Json& request, const RequestText& text, std::optional<GroundList> list);

}  // namespace ampturn::field_request
