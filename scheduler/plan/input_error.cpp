#include "scheduler/plan/input_error.hpp"

#include <fmt/format.h>

#include <utility>

namespace ampturn::plan {

std::string describe(const InputProblem& problem) {
    std::string line = problem.file;
    if (problem.position.line > 0) {
        line += fmt::format(":{}", problem.position.line);
        if (problem.position.column > 0) line += fmt::format(":{}", problem.position.column);
    }
    if (!line.empty()) line += ": ";
    if (!problem.key.empty()) line += problem.key + ": ";
    line += "found " + problem.found;
    if (!problem.allowed.empty()) line += ", allowed " + problem.allowed;
    return line;
}

namespace {

std::string describe_all(const std::vector<InputProblem>& problems) {
    std::string text;
    for (const InputProblem& problem : problems) {
        if (!text.empty()) text += '\n';
        text += describe(problem);
    }
    return text;
}

}  // namespace

InputError::InputError(InputProblem problem) : InputError(std::vector<InputProblem>{std::move(problem)}) {}

InputError::InputError(std::vector<InputProblem> problems)
    : std::runtime_error(describe_all(problems)), problems_(std::move(problems)) {}

}  // namespace ampturn::plan
