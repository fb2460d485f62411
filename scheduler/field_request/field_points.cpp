#include "scheduler/field_request/field_points.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "scheduler/field_request/request_parts.hpp"

namespace ampturn::field_request {

namespace {

void set_grounds(const Node& root, std::optional<GroundList> list, FieldPoints& points) {
    if (list) {
        if (root.has("model") || root.has("models"))
            root.complain("model or models beside a list of grounds in a file", "one of them");
        points.grounds = std::move(list->grounds);
        points.list = GroundsOfList{.range = list->range,
                                    .total = list->total,
                                    .names = std::move(list->names),
                                    .list_crc32 = list->crc32,
                                    .request_crc32 = root.request_crc32()};
        return;
    }
    if (root.has("model") == root.has("models"))
        root.complain("both or neither of model and models", "one of them");
    if (root.has("model")) {
        points.grounds.push_back(earth_of_node(root["model"]));
        return;
    }
    const Node models = root["models"];
    for (std::size_t i = 0; i < models.list_size(); ++i)
        points.grounds.push_back(earth_of_node(models.at(i)));
    if (points.grounds.empty()) models.complain("no ground", "1 or more");
}

/// Those of all receivers and one source, some receivers at a time.
void check_receivers(const FieldPoints& points, std::size_t source, const Node& receivers, const Node& node) {
    constexpr std::size_t at_a_time = 4096;
    for (std::size_t begin = 0; begin < points.receivers.size(); begin += at_a_time) {
        try {
            model::fields::check_field_job(
                points.sources[source],
                points.receivers.some(begin, std::min(at_a_time, points.receivers.size() - begin)));
        } catch (const model::RangeError& refused) {
            if (!refused.name().starts_with("receiver")) complain_of(refused, node);
            receivers.complain(
                fmt::format("{} {} at receiver {} of source {}", refused.name(), refused.found(),
                            begin + refused.index().value_or(0) + 1, source + 1),
                refused.allowed());
        }
    }
}

}  // namespace

bool asks_for_points(const Node& root) { return root.has("frequencies_Hz"); }

FieldPoints field_points_of(Node::Json& request, const RequestText& text, std::optional<GroundList> list) {
    const Node root(request, "", text);
    root.only_keys({"model", "models", "wavenumbers", "frequencies_Hz", "sources", "receivers", "tolerance",
                    "integration", "comment"});
    FieldPoints points;
    set_grounds(root, std::move(list), points);
    const Node frequencies = root["frequencies_Hz"];
    points.frequencies_hz = frequencies.numbers();
    if (points.frequencies_hz.empty()) frequencies.complain("no frequency", "1 or more");
    for (std::size_t i = 0; i < points.frequencies_hz.size(); ++i)
        if (!(points.frequencies_hz[i] >= 1 && points.frequencies_hz[i] <= 1e6))
            frequencies.at(i).complain(frequencies.at(i).short_text(), "1 to 1000000");
    const Node sources = root["sources"];
    for (std::size_t i = 0; i < sources.list_size(); ++i) {
        sources.at(i).only_keys({"moment_A_m2", "source_height_m", "x_m", "y_m", "loop"});
        points.sources.push_back(source_of(sources.at(i)));
    }
    if (points.sources.empty()) sources.complain("no source", "1 or more");
    const Node receivers = root["receivers"];
    points.receivers = ReceiverList(request["receivers"], receivers);
    points.options = options_of(root, root, wavenumbers_of(root["wavenumbers"]));
    for (std::size_t s = 0; s < points.sources.size(); ++s)
        check_receivers(points, s, receivers, sources.at(s));
    return points;
}

}  // namespace ampturn::field_request
