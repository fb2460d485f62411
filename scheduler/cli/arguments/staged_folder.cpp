#include "scheduler/cli/arguments/staged_folder.hpp"

#include <fmt/format.h>
#include <pthread.h>
#include <unistd.h>

#include <filesystem>
#include <new>
#include <system_error>
#include <utility>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/output_file.hpp"

namespace ampturn::cli::arguments {

namespace fs = std::filesystem;

namespace {

/// Other threads may still be writing into it. Called where nothing may be thrown; memory that was short may be there again.
void remove_whole(const std::string& path) noexcept {
    for (int attempt = 0; attempt < 200; ++attempt) {
        try {
            std::error_code failed;
            if (!fs::exists(path, failed)) return;
            fs::remove_all(path, failed);
        } catch (const std::bad_alloc&) {
        }
    }
}

}  // namespace

StagedFolder::StagedFolder(std::string path)
    : path_(std::move(path)), staging_path_(fmt::format("{}.partial-{}", path_, ::getpid())) {
    if (fs::exists(path_)) base::make_output_directory(path_);  // that it can be written, or why not
    make_staging();
    start_watching();
}

/// New, and no link that somebody has put there to lead elsewhere.
void StagedFolder::make_staging() const {
    const std::string above = fs::absolute(staging_path_).parent_path().string();
    if (!fs::exists(above)) base::make_output_directory(above);
    std::error_code failed;
    if (fs::create_directory(staging_path_, failed)) return;
    throw base::InputError({path_,
                            {},
                            "",
                            fmt::format("nothing that can be written ({})",
                                        failed ? failed.message() : staging_path_ + " is there"),
                            "a directory that can be made"});
}

StagedFolder::~StagedFolder() {
    stop_watching();
    remove_whole(staging_path_);
    restore_signals();
}

#ifdef __EMSCRIPTEN__
// Nobody sends signals to a page.
void StagedFolder::start_watching() {}
void StagedFolder::stop_watching() {}
void StagedFolder::restore_signals() const {}
#else
constexpr int no_more = SIGUSR1;  // to the watcher alone: nothing to watch any more

void StagedFolder::start_watching() {
    ::sigemptyset(&watched_);
    for (const int number : {SIGINT, SIGTERM, SIGHUP, no_more}) ::sigaddset(&watched_, number);
    ::pthread_sigmask(SIG_BLOCK, &watched_, &before_);
    try {
        watcher_ = std::thread([this] { watch(); });
    } catch (...) {
        remove_whole(staging_path_);
        restore_signals();
        throw;
    }
}

void StagedFolder::stop_watching() {
    ::pthread_kill(watcher_.native_handle(), no_more);
    watcher_.join();
}

void StagedFolder::restore_signals() const { ::pthread_sigmask(SIG_SETMASK, &before_, nullptr); }

void StagedFolder::watch() const {
    int number = 0;
    ::sigwait(&watched_, &number);
    if (number == no_more) return;
    remove_whole(staging_path_);
    ::signal(number, SIG_DFL);
    restore_signals();
    ::raise(number);
}
#endif

void StagedFolder::commit() {
    std::error_code failed;
    if (!fs::exists(path_)) {
        fs::rename(staging_path_, path_, failed);
    } else {
        for (const fs::directory_entry& entry : fs::directory_iterator(staging_path_)) {
            if (!failed) fs::rename(entry.path(), fs::path(path_) / entry.path().filename(), failed);
        }
    }
    if (failed)
        throw base::InputError({path_,
                                {},
                                "",
                                fmt::format("nothing that can be written ({})", failed.message()),
                                "a folder that can be written"});
}

}  // namespace ampturn::cli::arguments
