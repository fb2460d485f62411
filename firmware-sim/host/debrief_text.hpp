#pragma once

#include <nlohmann/json.hpp>
#include <string>

namespace ampturn::sim::host {

/// A session's debrief (Session::debrief()) in plain sentences.
std::string debrief_text(const nlohmann::json& debrief);

}  // namespace ampturn::sim::host
