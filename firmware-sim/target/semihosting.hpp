#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>

namespace ampturn::target {

/// Files and the command line of the host, through the debugger's door (Arm "Semihosting for AArch32 and
/// AArch64"): for tests under an emulator, not for a real unit.
class HostFile {
  public:
    static HostFile open(const char* name, bool to_write);
    bool is_open() const { return handle_ >= 0; }
    /// Bytes read; 0 at the end.
    std::size_t read(std::span<char> into);
    bool write(std::string_view bytes);
    bool close();

  private:
    std::int32_t handle_ = -1;
};

/// The words after the program's name; false if there are not exactly `count` or they do not fit.
bool command_line(std::span<char> buffer, std::span<const char*> words);

}  // namespace ampturn::target
