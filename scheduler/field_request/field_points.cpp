#include "scheduler/field_request/field_points.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>
#include <utility>

#include "scheduler/field_request/request_parts.hpp"

namespace ampturn::field_request {

namespace {

using model::fields::Receiver;

/// A number for each receiver, or one for all.
std::vector<double> one_or_list(const Node& node, std::size_t count) {
    if (node.json().is_number()) return std::vector<double>(count, node.number());
    std::vector<double> values = node.numbers();
    if (values.size() != count)
        node.complain(fmt::format("{} values", values.size()),
                      fmt::format("a number, or {}, one a receiver", count));
    return values;
}

std::vector<Receiver> receivers_of(const Node& node) {
    node.only_keys({"x_m", "y_m", "z_m", "offset_m", "bearing_deg"});
    const bool polar = node.has("offset_m");
    if (polar && (node.has("x_m") || node.has("y_m")))
        node.complain("offset_m beside x_m or y_m", "offset_m and bearing_deg, or x_m and y_m");
    const Node first = node[polar ? "offset_m" : "x_m"];
    const std::vector<double> a = first.numbers();
    if (a.empty()) first.complain("no receiver", "1 or more");
    const std::vector<double> b = one_or_list(node[polar ? "bearing_deg" : "y_m"], a.size());
    const std::vector<double> z =
        node.has("z_m") ? one_or_list(node["z_m"], a.size()) : std::vector<double>(a.size());
    std::vector<Receiver> receivers(a.size());
    for (std::size_t i = 0; i < a.size(); ++i) {
        const double angle = b[i] * std::numbers::pi / 180;
        receivers[i] = polar ? Receiver{a[i] * std::cos(angle), a[i] * std::sin(angle), z[i]}
                             : Receiver{a[i], b[i], z[i]};
    }
    return receivers;
}

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

}  // namespace

bool asks_for_points(const Node& root) { return root.has("frequencies_Hz"); }

FieldPoints field_points_of(const Node& root, std::optional<GroundList> list) {
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
    points.receivers = receivers_of(root["receivers"]);
    points.options = options_of(root, root, wavenumbers_of(root["wavenumbers"]));
    for (std::size_t s = 0; s < points.sources.size(); ++s) {
        try {
            model::fields::check_field_job(points.sources[s], points.receivers);
        } catch (const model::RangeError& refused) {
            if (refused.name().starts_with("receiver"))
                root["receivers"].complain(
                    fmt::format("{} {} at receiver {} of source {}", refused.name(), refused.found(),
                                refused.index().value_or(0) + 1, s + 1),
                    refused.allowed());
            complain_of(refused, sources.at(s));
        }
    }
    return points;
}

}  // namespace ampturn::field_request
