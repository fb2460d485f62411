#pragma once

#include <optional>
#include <string>
#include <vector>

#include "scheduler/plan/file/config_schema.hpp"

namespace ampturn::plan::explain {

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

/// A table as it stands in a file: "[battery]", "[[station]]".
std::string header_of(const FlatKey& table);

/// Keys that hold values, not tables of their own, as a Markdown table: unit, allowed, default, meaning.
std::string key_table_markdown(const std::vector<file::KeyInfo>& keys);

/// docs/configuration.md.
std::string configuration_markdown();

/// All keys, one a line with unit and default: what `ampturn explain` prints.
std::string explain_all();

/// Everything about one key or table; list entries may carry their number ("station[3].name"). Nothing when there is
/// none of that name.
std::optional<std::string> explain_key(const std::string& key);

/// The key that this one, of an earlier version, is called now; nothing when it is no such.
std::optional<std::string> name_now_of(const std::string& full_key);

}  // namespace ampturn::plan::explain
