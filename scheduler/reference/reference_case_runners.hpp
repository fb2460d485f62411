#pragma once

#include <functional>
#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <vector>

/// How each kind of reference case computes its outputs, and how far they may be off. Inside of transmitter_cases.
namespace ampturn::reference {

/// What a case computes. `scale` is the natural size of an output that may be zero (its key to a size in its
/// unit).
struct CaseOutputs {
    nlohmann::json outputs;
    std::map<std::string, double> scale;
};

/// inputs and expected outputs (for sampling moments only). An input it cannot take: InputError with the
/// input's key, or what the model throws.
using CaseFunction = std::function<CaseOutputs(const nlohmann::json&, const nlohmann::json&)>;

/// A number passes when |got - expected| <= relative |expected| or <= absolute.
struct Tolerance {
    double relative = 1e-6;
    double absolute = 0;
};
/// Of the outputs whose key starts and ends so.
struct KeyTolerance {
    std::string_view start, end;
    Tolerance tolerance;
};

struct CaseRunner {
    CaseFunction compute;
    Tolerance tolerance = {};
    std::vector<KeyTolerance> exceptions = {};  // the first that fits counts

    const Tolerance& tolerance_of(std::string_view key) const;
};
using CaseRunners = std::map<std::string, CaseRunner>;

void add_wire_runners(CaseRunners& runners);
void add_inductance_runners(CaseRunners& runners);
void add_bridge_runners(CaseRunners& runners);
void add_battery_runners(CaseRunners& runners);
void add_heat_runners(CaseRunners& runners);
void add_frequency_runners(CaseRunners& runners);
void add_exposure_runners(CaseRunners& runners);
void add_signal_runners(CaseRunners& runners);
void add_chain_runners(CaseRunners& runners);

/// Of copper at 20 C, by which the cases give the mass of a wire. Source: IEC 60028 (8.89 g/cm3), from memory.
inline constexpr double copper_density_kg_per_m3 = 8890.0;

/// An input that is a whole number. InputError when it is none, or beyond what an int holds.
int whole_input(const nlohmann::json& inputs, const char* key);
/// An input that may be absent or null.
double number_or(const nlohmann::json& inputs, const char* key, double otherwise);
/// Throws InputError: the word at an input's key is none of those this version knows.
[[noreturn]] void unknown_word(const std::string& key, const std::string& word, const std::string& known);
/// Throws InputError unless two lists of inputs, not empty, are of one length.
void same_length(const nlohmann::json& inputs, const char* key, const char* other_key);
/// JSON null for "does not happen".
template <class Optional>
nlohmann::json or_null(const Optional& value) {
    return value ? nlohmann::json(*value) : nlohmann::json(nullptr);
}

}  // namespace ampturn::reference
