#include "scheduler/base/input_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <memory>

#include "scheduler/base/input_error.hpp"

namespace ampturn::base {

std::string shown_path(const std::string& path) {
    return path == standard_input_path ? "standard input" : path;
}

std::string read_input_file(const std::string& path, const char* wanted, std::size_t bytes_max) {
    const auto refuse = [&](std::string found, std::string allowed) {
        return InputError({shown_path(path), {}, "", std::move(found), std::move(allowed)});
    };
    const auto cannot_read = [&](int error_number) {
        const char* why = error_number != 0 ? std::strerror(error_number) : "reading failed";
        return refuse(fmt::format("nothing that can be read ({})", why), wanted);
    };
    const std::string limit = fmt::format("at most {} bytes", bytes_max);
    const bool standard_input = path == standard_input_path;
    std::error_code failed;
    const auto status =
        standard_input ? std::filesystem::file_status() : std::filesystem::status(path, failed);
    if (std::filesystem::is_directory(status)) throw refuse("a directory", wanted);
    if (std::filesystem::is_block_file(status) || std::filesystem::is_character_file(status))
        throw refuse("a device", wanted);
    std::size_t expected = 0;
    if (std::filesystem::is_regular_file(status)) {
        const auto size = std::filesystem::file_size(path, failed);
        if (!failed && size > bytes_max) throw refuse(fmt::format("{} bytes", size), limit);
        if (!failed) expected = static_cast<std::size_t>(size);
    }
    errno = 0;
    const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(
        standard_input ? stdin : std::fopen(path.c_str(), "rb"),
        standard_input ? [](std::FILE*) { return 0; } : std::fclose);
    if (!file) throw cannot_read(errno);
    std::string bytes;
    for (std::size_t step = std::max<std::size_t>(expected + 1, 1 << 16);;) {
        const std::size_t before = bytes.size();
        bytes.resize(before + step);
        bytes.resize(before + std::fread(bytes.data() + before, 1, step, file.get()));
        if (std::ferror(file.get()) != 0 &&
            errno == EINTR) {  // a signal came: nothing is wrong with the file
            std::clearerr(file.get());
            continue;
        }
        if (std::ferror(file.get()) != 0) throw cannot_read(errno);
        if (bytes.size() > bytes_max) throw refuse(fmt::format("more than {} bytes", bytes_max), limit);
        if (std::feof(file.get()) != 0) return bytes;
    }
}

}  // namespace ampturn::base
