#pragma once

#include <chrono>
#include <cstddef>
#include <cstdio>
#include <mutex>
#include <string>

namespace ampturn::cli::arguments {

bool is_terminal(std::FILE* stream);

/// Whether to colour text on this stream: it is a terminal, TERM is not "dumb", and NO_COLOR is not set
/// (https://no-color.org: set and not empty means no colour).
bool colour_wanted(std::FILE* stream);

/// One line on stderr that says how far a long job is and how long it still takes; silent unless stderr is a
/// terminal, gone when the job ends. Any thread may call `advance`.
class Progress {
  public:
    Progress(std::string what, std::size_t total);
    ~Progress();
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;

    void advance(std::size_t count = 1);

  private:
    void show();

    std::string what_;
    std::size_t total_;
    std::size_t done_ = 0;
    bool shown_ = false;
    bool visible_;
    std::chrono::steady_clock::time_point start_, last_shown_;
    std::mutex mutex_;
};

}  // namespace ampturn::cli::arguments
