#pragma once

#include <cstddef>
#include <vector>

#include "model/fields/fields.hpp"
#include "scheduler/field_request/packed_numbers.hpp"
#include "scheduler/field_request/request_node.hpp"

namespace ampturn::field_request {

/// Receivers as a request gives them: x_m and y_m, or offset_m and bearing_deg, and z_m, each a list or one number for all (at least
/// the first is a list). The lists are held, 8 bytes a number; places are made of them when they are asked for.
class ReceiverList {
  public:
    ReceiverList() = default;
    /// Moves packed lists out of `receivers`, the value at `node`. InputError for what is wrong with it.
    ReceiverList(Node::Json& receivers, const Node& node);

    std::size_t size() const { return first_.size(); }
    model::fields::Receiver operator[](std::size_t index) const;
    /// `count` from `begin` on.
    std::vector<model::fields::Receiver> some(std::size_t begin, std::size_t count) const;

  private:
    struct OneOrList {
        double one = 0;  // for all, where there is no list
        PackedNumbers list;
        double operator[](std::size_t index) const { return list.empty() ? one : list[index]; }
    };
    static OneOrList one_or_list(Node::Json& json, const Node& node, std::size_t count);

    bool polar_ = false;
    PackedNumbers first_;     // x_m or offset_m
    OneOrList second_, z_m_;  // y_m or bearing_deg
};

}  // namespace ampturn::field_request
