#include "scheduler/base/output_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <system_error>
#include <utility>

#include "scheduler/base/input_error.hpp"

namespace ampturn::base {

namespace {

InputError cannot_write(const std::string& path, int error_number, const char* allowed) {
    const char* why = error_number != 0 ? std::strerror(error_number) : "writing failed";
    return InputError({path, {}, "", fmt::format("nothing that can be written ({})", why), allowed});
}

/// Where links stand for a program's own streams: /dev/stdout, /proc/self/fd/1.
bool of_the_system(const std::string& path) {
    std::error_code unknown;
    const std::string whole = std::filesystem::absolute(path, unknown).lexically_normal().string();
    return whole.starts_with("/dev/") || whole.starts_with("/proc/");
}

constexpr const char* writable_place = "a place that can be written, with space left";

}  // namespace

OutputFile::OutputFile(std::string path) : path_(std::move(path)) {
    std::error_code unknown;
    const auto status = std::filesystem::status(path_, unknown);
    const bool link = std::filesystem::is_symlink(std::filesystem::symlink_status(path_, unknown));
    if (std::filesystem::is_directory(status)) throw cannot_write(path_, EISDIR, "the name of a file");
    const bool direct = std::filesystem::exists(status) && !std::filesystem::is_regular_file(status) &&
                        (!link || of_the_system(path_));
    if (!direct) temporary_path_ = fmt::format("{}.partial-{}", path_, ::getpid());
    const std::string& opened = direct ? path_ : temporary_path_;
    const int flags = O_WRONLY | O_CLOEXEC | (direct ? 0 : O_CREAT | O_EXCL);
    const int descriptor = ::open(opened.c_str(), flags, 0666);
    if (descriptor < 0) {
        const int error_number = errno;
        temporary_path_.clear();
        throw cannot_write(path_, error_number, writable_place);
    }
    file_ = ::fdopen(descriptor, "wb");
    if (file_ == nullptr) {
        const int error_number = errno;
        ::close(descriptor);
        fail(error_number);
    }
}

OutputFile::~OutputFile() { discard(); }

void OutputFile::write(std::string_view bytes) {
    if (std::fwrite(bytes.data(), 1, bytes.size(), file_) != bytes.size()) fail(errno);
}

void OutputFile::commit() {
    if (std::fflush(file_) != 0) fail(errno);
    if (!temporary_path_.empty() && ::fsync(::fileno(file_)) != 0) fail(errno);
    if (std::fclose(std::exchange(file_, nullptr)) != 0) fail(errno);
    if (!temporary_path_.empty() && std::rename(temporary_path_.c_str(), path_.c_str()) != 0) fail(errno);
    temporary_path_.clear();
}

void OutputFile::fail(int error_number) {
    discard();
    throw cannot_write(path_, error_number, writable_place);
}

void OutputFile::discard() {
    if (file_ != nullptr) std::fclose(std::exchange(file_, nullptr));
    if (!temporary_path_.empty()) ::unlink(temporary_path_.c_str());
    temporary_path_.clear();
}

void write_output_file(const std::string& path, std::string_view bytes) {
    OutputFile file(path);
    file.write(bytes);
    file.commit();
}

void make_output_directory(const std::string& path) {
    std::error_code failed;
    std::filesystem::create_directories(path, failed);
    if (failed) throw cannot_write(path, failed.value(), "a directory that can be made");
    if (!std::filesystem::is_directory(path, failed)) throw cannot_write(path, ENOTDIR, "a directory");
    const OutputFile probe((std::filesystem::path(path) / "ampturn-probe").string());  // gone again at once
}

}  // namespace ampturn::base
