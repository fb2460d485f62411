#pragma once

#include <functional>
#include <map>
#include <nlohmann/json.hpp>
#include <string>

/// The kinds of reference case: how each computes its outputs. Inside of rig_cases.
namespace ampturn::plan {

/// What a case computes. `scale` is the natural size of an output that may be zero (its key to a size in its unit).
struct Computed {
    nlohmann::json outputs;
    std::map<std::string, double> scale;
};

/// inputs and expected outputs (for sampling moments only).
using CaseFunction = std::function<Computed(const nlohmann::json&, const nlohmann::json&)>;
using CaseKinds = std::map<std::string, CaseFunction>;

void add_wire_kinds(CaseKinds& kinds);
void add_inductance_kinds(CaseKinds& kinds);
void add_bridge_kinds(CaseKinds& kinds);
void add_battery_kinds(CaseKinds& kinds);
void add_heat_kinds(CaseKinds& kinds);
void add_frequency_kinds(CaseKinds& kinds);
void add_exposure_kinds(CaseKinds& kinds);
void add_signal_kinds(CaseKinds& kinds);
void add_chain_kinds(CaseKinds& kinds);

/// An input that may be absent or null.
double number_or(const nlohmann::json& inputs, const char* key, double otherwise);
/// JSON null for "does not happen".
template <class Optional>
nlohmann::json or_null(const Optional& value) {
    return value ? nlohmann::json(*value) : nlohmann::json(nullptr);
}

}  // namespace ampturn::plan
