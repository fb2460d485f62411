#include "scheduler/base/text_template.hpp"

#include <algorithm>
#include <stdexcept>

namespace ampturn::base {

std::string filled_template(std::string_view text, const TemplateValues& values) {
    std::vector<bool> used(values.size());
    std::string out;
    while (true) {
        const std::size_t open = text.find("{{");
        out += text.substr(0, open);
        if (open == std::string_view::npos) break;
        const std::size_t close = text.find("}}", open);
        if (close == std::string_view::npos)
            throw std::logic_error("a template opens {{ and does not close it");
        const std::string_view name = text.substr(open + 2, close - open - 2);
        const auto value =
            std::find_if(values.begin(), values.end(), [&](const auto& v) { return v.first == name; });
        if (value == values.end())
            throw std::logic_error("a template names the unknown value " + std::string(name));
        used[static_cast<std::size_t>(value - values.begin())] = true;
        out += value->second;
        text.remove_prefix(close + 2);
    }
    const auto unused = std::find(used.begin(), used.end(), false);
    if (unused != used.end()) {
        const auto& [name, value] = values[static_cast<std::size_t>(unused - used.begin())];
        throw std::logic_error("a template does not name the value " + std::string(name));
    }
    return out;
}

std::string_view named_line(std::string_view text, std::string_view name) {
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        const std::string_view line = text.substr(0, end);
        if (line.starts_with(name) && line.substr(name.size()).starts_with(": "))
            return line.substr(name.size() + 2);
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    throw std::logic_error("no line is named " + std::string(name));
}

}  // namespace ampturn::base
