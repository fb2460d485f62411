#include "firmware-sim/scpi/tree.hpp"

#include <fmt/format.h>

#include <stdexcept>
#include <utility>

namespace ampturn::sim::scpi {
namespace {

std::string to_upper(std::string_view text) {
    std::string result(text);
    for (char& c : result) {
        if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    }
    return result;
}

std::string capitals(std::string_view text) {
    std::string result;
    for (const char c : text) {
        if (!(c >= 'a' && c <= 'z')) result += c;
    }
    return result;
}

}  // namespace

bool is_form_of(std::string_view word, std::string_view pattern) {
    return word == to_upper(pattern) || word == capitals(pattern);
}

void Tree::add(std::string_view pattern, int id) {
    for (const std::string& known : patterns_) {
        if (known == pattern)
            throw std::logic_error(fmt::format("command pattern '{}' added twice", pattern));
    }
    patterns_.emplace_back(pattern);
    Entry entry;
    entry.id = id;
    if (pattern.ends_with('?')) {
        entry.query = true;
        pattern.remove_suffix(1);
    }
    Node node;
    std::string word;
    const auto close = [&] {
        if (word.empty()) return;
        node.long_form = to_upper(word);
        node.short_form = capitals(word);
        entry.nodes.push_back(std::exchange(node, {}));
        word.clear();
    };
    bool bracket = false;
    for (const char c : pattern) {
        if (c == '[' || c == ']' || c == ':') close();
        if (c == '[') bracket = true;
        if (c == ']') bracket = false;
        if (c == '[' || c == ']' || c == ':') continue;
        word += c;
        node.optional = bracket;
    }
    close();
    if (entry.nodes.empty()) throw std::logic_error(fmt::format("empty command pattern '{}'", pattern));
    entries_.push_back(std::move(entry));
}

bool Tree::Node::matches(std::string_view word, bool any_suffix) const {
    const auto is_form = [this](std::string_view form) { return form == long_form || form == short_form; };
    if (is_form(word)) return true;
    const std::size_t last = word.find_last_not_of("0123456789");
    const std::size_t digits = last == std::string_view::npos ? 0 : last + 1;
    if (digits == 0 || digits == word.size()) return false;
    return is_form(word.substr(0, digits)) && (any_suffix || word.substr(digits) == "1");
}

bool Tree::matches(const std::vector<Node>& nodes, std::size_t node, const std::vector<std::string>& words,
                   std::size_t word, bool any_suffix) {
    if (node == nodes.size()) return word == words.size();
    if (word < words.size() && nodes[node].matches(words[word], any_suffix) &&
        matches(nodes, node + 1, words, word + 1, any_suffix)) {
        return true;
    }
    return nodes[node].optional && matches(nodes, node + 1, words, word, any_suffix);
}

std::vector<std::string> Tree::path_of(const Command& command, const Position& position) {
    std::vector<std::string> path;
    if (!command.common && !command.from_root) path = position.path_;
    path.insert(path.end(), command.header.begin(), command.header.end());
    return path;
}

const Tree::Entry* Tree::entry_of(const Command& command, const std::vector<std::string>& path,
                                  bool any_suffix) const {
    for (const Entry& entry : entries_)
        if (entry.query == command.query && matches(entry.nodes, 0, path, 0, any_suffix && !command.common))
            return &entry;
    return nullptr;
}

std::optional<int> Tree::find(const Command& command, Position& position) const {
    std::vector<std::string> path = path_of(command, position);
    const Entry* entry = entry_of(command, path, false);
    if (entry == nullptr) return std::nullopt;
    if (!command.common) {
        path.pop_back();
        position.path_ = std::move(path);
    }
    return entry->id;
}

bool Tree::suffix_is_wrong(const Command& command, const Position& position) const {
    return entry_of(command, path_of(command, position), true) != nullptr;
}

}  // namespace ampturn::sim::scpi
