#pragma once

#include <string>

#include "model/base/check_range.hpp"
#include "model/fields/fields.hpp"
#include "model/ground/earth.hpp"
#include "scheduler/field_request/request_node.hpp"

/// Grounds, sources and options, the same in every layout of a request.
namespace ampturn::field_request {

/// Whether a ground may have a `name`, which whoever calls makes use of.
enum class GroundName { unknown_key, allowed };
model::ground::LayeredEarth earth_of_node(const Node& node, GroundName name = GroundName::unknown_key);
model::ground::Wavenumbers wavenumbers_of(const Node& node);
/// Of a node with `loop`, or `moment_A_m2` and `source_height_m`, and where allowed `x_m` and `y_m`.
model::fields::Source source_of(const Node& node);
/// `tolerance` (1e-10 to 1e-3, 1e-7 unless given) and `integration` ("fast" unless "reference" is given), of `node`, or of
/// `root` where it has none.
model::fields::FieldOptions options_of(const Node& node, const Node& root, model::ground::Wavenumbers waves);
/// What the engine has refused, said of the place below the node where it stands.
[[noreturn]] void complain_of(const model::RangeError& refused, const Node& node);

}  // namespace ampturn::field_request
