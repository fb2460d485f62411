#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "scheduler/plan/tree/config_toml.hpp"

namespace ampturn::plan::tree {

struct KeyPart {
    std::string name;
    std::vector<std::size_t> entries;  // from 1
};

/// "station[3].name" to {station, [3]}, {name, []}. InputError for what is no key.
std::vector<KeyPart> split_key(const Setting& setting);

}  // namespace ampturn::plan::tree
