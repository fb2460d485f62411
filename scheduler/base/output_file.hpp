#pragma once

#include <cstdio>
#include <string>
#include <string_view>

namespace ampturn::base {

/// A file that appears whole or not at all: written under a temporary name beside its own, made durable, then
/// renamed over it. What is not committed leaves nothing behind. A path that exists and is no ordinary file
/// (a device, a pipe) is written directly. A symbolic link is replaced by the file and never written through, but for those of the
/// system in /dev and /proc (/dev/stdout). InputError naming path and cause at any failure.
class OutputFile {
  public:
    explicit OutputFile(std::string path);
    ~OutputFile();
    OutputFile(const OutputFile&) = delete;
    OutputFile& operator=(const OutputFile&) = delete;

    void write(std::string_view bytes);
    void commit();

  private:
    [[noreturn]] void fail(int error_number);
    void discard();

    std::string path_;
    std::string temporary_path_;  // empty when written directly
    std::FILE* file_ = nullptr;
};

/// The text of a file to be written, and its name without a folder.
struct NamedText {
    std::string name, text;
};

/// OutputFile in one go.
void write_output_file(const std::string& path, std::string_view bytes);

/// Makes the directory and those above it where missing, and sees that files can be made in it. InputError otherwise.
void make_output_directory(const std::string& path);

}  // namespace ampturn::base
