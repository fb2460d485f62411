#include "scheduler/field_request/receiver_list.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

namespace ampturn::field_request {

namespace {

PackedNumbers numbers_of(Node::Json& json, const Node& node) {
    if (PackedNumbers::held_by(json)) return PackedNumbers::out_of(json);
    PackedNumbers out;
    for (const double value : node.numbers()) out.append(value);
    return out;
}

}  // namespace

ReceiverList::OneOrList ReceiverList::one_or_list(Node::Json& json, const Node& node, std::size_t count) {
    if (node.json().is_number()) return {.one = node.number(), .list = {}};
    OneOrList out{.one = 0, .list = numbers_of(json, node)};
    if (out.list.size() != count)
        node.complain(fmt::format("{} values", out.list.size()),
                      fmt::format("a number, or {}, one a receiver", count));
    return out;
}

ReceiverList::ReceiverList(Node::Json& receivers, const Node& node) {
    node.only_keys({"x_m", "y_m", "z_m", "offset_m", "bearing_deg"});
    polar_ = node.has("offset_m");
    if (polar_ && (node.has("x_m") || node.has("y_m")))
        node.complain("offset_m beside x_m or y_m", "offset_m and bearing_deg, or x_m and y_m");
    const char* first = polar_ ? "offset_m" : "x_m";
    const char* second = polar_ ? "bearing_deg" : "y_m";
    const Node first_node = node[first];
    first_ = numbers_of(receivers[first], first_node);
    if (first_.empty()) first_node.complain("no receiver", "1 or more");
    const Node second_node = node[second];
    second_ = one_or_list(receivers[second], second_node, size());
    if (node.has("z_m")) z_m_ = one_or_list(receivers["z_m"], node["z_m"], size());
}

model::fields::Receiver ReceiverList::operator[](std::size_t index) const {
    const double a = first_[index], b = second_[index], z_m = z_m_[index];
    if (!polar_) return {a, b, z_m};
    const double angle = b * std::numbers::pi / 180;
    return {a * std::cos(angle), a * std::sin(angle), z_m};
}

std::vector<model::fields::Receiver> ReceiverList::some(std::size_t begin, std::size_t count) const {
    std::vector<model::fields::Receiver> out(count);
    for (std::size_t i = 0; i < count; ++i) out[i] = (*this)[begin + i];
    return out;
}

}  // namespace ampturn::field_request
