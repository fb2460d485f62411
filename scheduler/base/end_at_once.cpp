#include "scheduler/base/end_at_once.hpp"

#include <cstdio>
#include <cstdlib>
#include <exception>
#include <new>

namespace ampturn::base {

namespace {

const char* name = "";
int code = 0;

void say(const char* program, const char* words) {
    std::fputs(program, stderr);
    std::fputs(words, stderr);
}

[[noreturn]] void end_at_once() {
    try {
        if (const std::exception_ptr thrown = std::current_exception()) std::rethrow_exception(thrown);
    } catch (const std::bad_alloc&) {
        say_no_memory(name);
        std::_Exit(code);
    } catch (...) {
        say(name, ": internal error\n");
    }
    std::abort();
}

}  // namespace

void say_no_memory(const char* program) { say(program, ": no memory left\n"); }

void end_at_once_without_memory(const char* program, int exit_code) {
    name = program;
    code = exit_code;
    std::set_terminate(end_at_once);
}

}  // namespace ampturn::base
