#include "scheduler/field_request/request_node.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/core/crc32.hpp"
#include "scheduler/field_request/packed_numbers.hpp"

namespace ampturn::field_request {

Node Node::operator[](const char* key) const {
    if (!json_.is_object()) complain(short_text(), "an object");
    if (!json_.contains(key)) complain("no \"" + std::string(key) + "\"", "it is required");
    return {json_[key], path_.empty() ? key : path_ + '.' + key, request_};
}

Node Node::at(std::size_t index) const {
    return {json_[index], fmt::format("{}[{}]", path_, index), request_};
}

std::size_t Node::list_size() const {
    if (!json_.is_array()) complain(short_text(), "a list");
    return json_.size();
}

double Node::number() const {
    if (!json_.is_number()) complain(short_text(), "a number");
    return json_.get<double>();
}

double Node::number_or(const char* key, double otherwise) const {
    return has(key) ? (*this)[key].number() : otherwise;
}

std::vector<double> Node::numbers() const {
    std::vector<double> result(list_size());
    for (std::size_t i = 0; i < result.size(); ++i)
        result[i] = json_[i].is_number() ? json_[i].get<double>() : at(i).number();
    return result;
}

std::array<double, 3> Node::three_numbers() const {
    if (list_size() != 3) complain(short_text(), "three numbers");
    return {at(0).number(), at(1).number(), at(2).number()};
}

std::complex<double> Node::complex() const {
    if (list_size() != 2) complain(short_text(), "[real, imaginary]");
    return {at(0).number(), at(1).number()};
}

void Node::only_keys(std::span<const char* const> known) const {
    if (!json_.is_object()) complain(short_text(), "an object");
    for (const auto& [key, value] : json_.items())
        if (std::find(known.begin(), known.end(), key) == known.end())
            complain("unknown key \"" + key + "\"", fmt::format("{}", fmt::join(known, ", ")));
}

std::uint32_t Node::request_crc32() const {
    const std::string& text = request_.text;
    return core::crc32(std::span(reinterpret_cast<const std::uint8_t*>(text.data()), text.size()));
}

namespace {

base::Position in_file(base::Position of_text, const RequestText& request) {
    of_text.line += request.first_line - 1;
    return of_text;
}

}  // namespace

void Node::complain(const std::string& found, const std::string& allowed) const {
    complain_at(path_, found, allowed);
}

void Node::complain_below(const std::string& path, const std::string& found,
                          const std::string& allowed) const {
    complain_at(path_.empty() ? path : path_ + '.' + path, found, allowed);
}

std::string Node::short_text() const {
    constexpr std::size_t characters_max = 40;
    if (PackedNumbers::held_by(json_) || (json_.is_structured() && json_.size() > 100)) return "a long one";
    std::string text = json_.dump();
    if (text.size() > characters_max) {
        text.resize(characters_max - 3);
        text += "...";
    }
    return text;
}

void Node::complain_at(const std::string& path, const std::string& found, const std::string& allowed) const {
    // Looked for when it is needed: a request can have millions of values.
    const std::map<std::string, base::Position> positions = base::json_positions(request_.text);
    const auto at = positions.find(path);
    throw base::InputError(base::InputProblem{
        .file = request_.file,
        .position = at == positions.end() ? base::Position{} : in_file(at->second, request_),
        .key = path,
        .found = found,
        .allowed = allowed});
}

}  // namespace ampturn::field_request
