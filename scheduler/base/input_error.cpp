#include "scheduler/base/input_error.hpp"

#include <fmt/format.h>

#include <cstddef>
#include <utility>

namespace ampturn::base {

namespace {

// What a file holds may be anything: no control characters reach the terminal, and a line stays a line.
std::string shown(const std::string& text) {
    constexpr std::size_t bytes_max = 300;
    std::string clean = text.substr(0, bytes_max);
    for (char& c : clean)
        if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) c = '?';
    if (text.size() > bytes_max) clean += "...";
    return clean;
}

}  // namespace

std::string text_of(const InputProblem& problem) {
    std::string line = shown(problem.file);
    if (problem.position.line > 0) {
        line += fmt::format(":{}", problem.position.line);
        if (problem.position.column > 0) line += fmt::format(":{}", problem.position.column);
    }
    if (!line.empty()) line += ": ";
    if (!problem.key.empty()) line += shown(problem.key) + ": ";
    line += "found " + shown(problem.found);
    if (!problem.allowed.empty()) line += ", allowed " + shown(problem.allowed);
    return line;
}

namespace {

std::string text_of_all(const std::vector<InputProblem>& problems) {
    std::string text;
    for (const InputProblem& problem : problems) {
        if (!text.empty()) text += '\n';
        text += text_of(problem);
    }
    return text;
}

}  // namespace

InputError::InputError(InputProblem problem) : InputError(std::vector<InputProblem>{std::move(problem)}) {}

InputError::InputError(std::vector<InputProblem> problems)
    : std::runtime_error(text_of_all(problems)), problems_(std::move(problems)) {}

}  // namespace ampturn::base
