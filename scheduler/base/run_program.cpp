#include "scheduler/base/run_program.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <cstddef>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <exception>
#include <new>

#include "scheduler/base/input_error.hpp"

namespace ampturn::base {
namespace {

constexpr std::size_t lines_max = 40;
const char* running = "";  // the program's name
/// Libraries swallow what is thrown where memory ends, and then find mistakes in an input that has none.
std::atomic<bool> memory_ended = false;
void remember_and_throw() {
    memory_ended = true;
    throw std::bad_alloc();
}

void say_at_once(const char* words) {  // taking no memory
    std::fputs(running, stderr);
    std::fputs(words, stderr);
}

int no_memory() {
    say_at_once(": no memory left\n");
    return exit_internal_error;
}

/// Memory that fails while something is let go (a tree of JSON takes some for that) cannot be thrown on.
[[noreturn]] void end_at_once() {
    if (memory_ended) std::_Exit(no_memory());
    say_at_once(": internal error\n");
    std::abort();
}

std::string standard_output_failed() {
    return fmt::format(
        "standard output: found nothing that can be written ({}), "
        "allowed a place that can be written, with space left",
        errno != 0 ? std::strerror(errno) : "writing failed");
}

}  // namespace

int run_program(const char* name, const std::function<int()>& work,
                const std::function<void(const std::string&)>& say) {
    running = name;
    std::set_terminate(end_at_once);
    std::set_new_handler(remember_and_throw);
    try {
        const int result = work();
        if (std::fflush(stdout) == 0 && std::ferror(stdout) == 0) return result;
        say(standard_output_failed());
        return exit_bad_input;
    } catch (const InputError& error) {
        if (memory_ended) return no_memory();
        const auto& problems = error.problems();
        for (std::size_t i = 0; i < std::min(problems.size(), lines_max); ++i) say(text_of(problems[i]));
        if (problems.size() > lines_max)
            say(fmt::format("and {} more of this kind", problems.size() - lines_max));
        return exit_bad_input;
    } catch (const std::bad_alloc&) {
        return no_memory();
    } catch (const std::exception& error) {
        if (memory_ended) return no_memory();
        if (std::ferror(stdout) !=
            0) {  // fmt::print throws std::system_error when a full buffer does not fit
            say(standard_output_failed());
            return exit_bad_input;
        }
        say(fmt::format("internal error: {}", error.what()));
        return exit_internal_error;
    }
}

}  // namespace ampturn::base
