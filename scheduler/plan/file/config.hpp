#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "scheduler/plan/file/config_schema.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/plan/tree/config_toml.hpp"

namespace ampturn::plan::file {

using tree::apply_setting;
using tree::parse_setting;
using tree::Setting;

/// Reads a plan file (TOML 1.0), with single keys replaced by `settings`. InputError, holding all that is
/// wrong as far as it can be told, when it is not a valid plan.
Plan load_plan(const std::string& path, const std::vector<Setting>& settings = {});

/// The same from text; `path` names it in messages and finds files named in it.
Plan parse_plan(std::string_view text, const std::string& path, const std::vector<Setting>& settings = {});

/// TOML text that loads back as the same plan: same values, explicit steps, defaults left out, places as
/// coordinates. Comments are not kept.
std::string write_plan(const Plan& plan);

/// Where every key of a tree of values stands, by its full name; entries of lists count from 1.
KeyPositions positions_of(const tree::Value& root);

/// The keys of a plan file, for reference pages; lives as long as the program.
const std::vector<KeyInfo>& plan_key_infos();

}  // namespace ampturn::plan::file
