#pragma once

#include <nlohmann/json.hpp>

#include "scheduler/plan/tree/config_value.hpp"

namespace ampturn::plan::explain {

/// What a plan file gives, as it gives it: tables as objects, lists as arrays, times "hh:mm:ss", dates "yyyy-mm-dd".
nlohmann::ordered_json given_json(const tree::Value& value);

/// Every key of the schema, in its order: key, table or not, repeated, type, unit, allowed, default (TOML), required, absent (what
/// holds without it, in words), help, source.
nlohmann::ordered_json keys_json();

}  // namespace ampturn::plan::explain
