#pragma once

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace ampturn::test {

/// A directory of a test's own, gone with it.
class ScratchDirectory {
  public:
    ScratchDirectory() {
        std::string pattern = (std::filesystem::temp_directory_path() / "ampturn-test-XXXXXX").string();
        if (::mkdtemp(pattern.data()) == nullptr) throw std::runtime_error("cannot make " + pattern);
        path_ = pattern;
    }
    ~ScratchDirectory() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    ScratchDirectory(const ScratchDirectory&) = delete;
    ScratchDirectory& operator=(const ScratchDirectory&) = delete;

    std::string file(const std::string& name) const { return (path_ / name).string(); }
    std::string write(const std::string& name, const std::string& text) const {
        std::ofstream(path_ / name, std::ios::binary) << text;
        return file(name);
    }
    const std::filesystem::path& path() const { return path_; }

  private:
    std::filesystem::path path_;
};

inline std::string read_whole_file(const std::filesystem::path& path) {
    std::ifstream file(path, std::ios::binary);
    std::ostringstream text;
    text << file.rdbuf();
    return text.str();
}

struct ProgramResult {
    int exit_code = -1;  // -1: did not exit by itself
    std::string out, err;
};

/// Runs a program without a shell; its standard output goes to `out_path` if that is given.
inline ProgramResult run_program(const std::string& program, const std::vector<std::string>& arguments,
                                 const std::string& out_path = "") {
    const ScratchDirectory scratch;
    const std::string out = out_path.empty() ? scratch.file("out") : out_path;
    const std::string err = scratch.file("err");
    std::vector<char*> argv{const_cast<char*>(program.c_str())};
    for (const std::string& argument : arguments) argv.push_back(const_cast<char*>(argument.c_str()));
    argv.push_back(nullptr);
    const pid_t child = ::fork();
    if (child == 0) {
        const int out_fd = ::open(out.c_str(), O_WRONLY | O_CREAT, 0600);
        const int err_fd = ::open(err.c_str(), O_WRONLY | O_CREAT, 0600);
        ::dup2(out_fd, STDOUT_FILENO);
        ::dup2(err_fd, STDERR_FILENO);
        ::execv(program.c_str(), argv.data());
        ::_exit(127);
    }
    int status = 0;
    if (child < 0 || ::waitpid(child, &status, 0) != child) throw std::runtime_error("cannot run " + program);
    ProgramResult result;
    if (WIFEXITED(status)) result.exit_code = WEXITSTATUS(status);
    if (out_path.empty()) result.out = read_whole_file(out);
    result.err = read_whole_file(err);
    return result;
}

}  // namespace ampturn::test
