#pragma once

#include <csignal>
#include <string>
#include <thread>

namespace ampturn::cli::arguments {

/// A folder of files that appears whole or not at all: they are written beside it under another name and put in
/// place by commit(). What is not committed is removed, also when the program is interrupted (Ctrl-C, a
/// terminal that goes, a plain kill), which then ends it as it would have. Make it before any thread that
/// writes into it; one at a time. InputError when the folder cannot be made.
class StagedFolder {
  public:
    explicit StagedFolder(std::string path);
    ~StagedFolder();
    StagedFolder(const StagedFolder&) = delete;
    StagedFolder& operator=(const StagedFolder&) = delete;

    const std::string& staging_path() const { return staging_path_; }
    void commit();

  private:
    void make_staging() const;
    void start_watching();
    void stop_watching();
    void restore_signals() const;
    void watch() const;

    std::string path_, staging_path_;
    sigset_t watched_{}, before_{};
    std::thread watcher_;
};

}  // namespace ampturn::cli::arguments
