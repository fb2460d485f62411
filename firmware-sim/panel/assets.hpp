#pragma once

#include <span>
#include <string_view>

namespace ampturn::sim::panel {

/// A file of the panel, built into the program.
struct Asset {
    std::string_view path;  // as asked for: "/", "/panel.js"
    std::string_view type;  // content type
    std::string_view bytes;
};

std::span<const Asset> assets();
const Asset* asset_at(std::string_view path);

}  // namespace ampturn::sim::panel
