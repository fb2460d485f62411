#include "scheduler/cli/arguments/terminal.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <cstdlib>
#include <string_view>
#include <utility>

namespace ampturn::cli::arguments {

bool is_terminal(std::FILE* stream) { return ::isatty(::fileno(stream)) == 1; }

bool colour_wanted(std::FILE* stream) {
    const char* no_color = std::getenv("NO_COLOR");
    const char* term = std::getenv("TERM");
    if (no_color != nullptr && *no_color != '\0') return false;
    return is_terminal(stream) && term != nullptr && std::string_view(term) != "dumb";
}

Progress::Progress(std::string what, std::size_t total)
    : what_(std::move(what)),
      total_(total),
      visible_(is_terminal(stderr)),
      start_(std::chrono::steady_clock::now()),
      last_shown_(start_) {}

Progress::~Progress() {
    if (shown_) std::fputs("\r\x1b[K", stderr);
}

void Progress::advance(std::size_t count) {
    if (!visible_) return;
    const std::scoped_lock lock(mutex_);
    done_ += count;
    const auto now = std::chrono::steady_clock::now();
    if (now - last_shown_ < std::chrono::milliseconds(200)) return;
    last_shown_ = now;
    show();
}

void Progress::show() {
    const double elapsed_s = std::chrono::duration<double>(last_shown_ - start_).count();
    const double left_s =
        done_ == 0 ? 0 : elapsed_s * static_cast<double>(total_ - done_) / static_cast<double>(done_);
    std::fputs(fmt::format("\r{} {} of {}, {:.0f} s left\x1b[K", what_, done_, total_, left_s).c_str(),
               stderr);
    std::fflush(stderr);
    shown_ = true;
}

}  // namespace ampturn::cli::arguments
