#pragma once

#include <string>
#include <vector>

#include "scheduler/plan/file/config_schema.hpp"

namespace ampturn::plan::reference {

/// Reference pages of the plan file, made from the keys themselves.

/// One key with its full name, "sweep.step.frequency_hz".
struct FlatKey {
    std::string full_key;
    const file::KeyInfo* info = nullptr;
    bool in_list = false;  // inside a [[table]]
};
/// Every key and table, parents before children, in the order of the keys; points into `infos`.
std::vector<FlatKey> flatten(const std::vector<file::KeyInfo>& infos);
std::vector<FlatKey> flatten(std::vector<file::KeyInfo>&& infos) = delete;

/// docs/configuration.md.
std::string configuration_markdown();

/// All keys, one a line with unit and default: what `ampturn explain` prints.
std::string explain_all();

/// Everything about one key or table; list entries may carry their number ("station[3].name"). InputError
/// with the nearest key when there is none of that name.
std::string explain_key(const std::string& key);

}  // namespace ampturn::plan::reference
