#include "firmware-sim/target/semihosting.hpp"

#include <cstring>

extern "C" std::int32_t semihosting(std::uint32_t operation, const void* block);

namespace ampturn::target {
namespace {

enum Operation : std::uint32_t {
    sys_open = 0x01,
    sys_close = 0x02,
    sys_write = 0x05,
    sys_read = 0x06,
    sys_get_cmdline = 0x15
};

std::uint32_t address(const void* pointer) {
    return static_cast<std::uint32_t>(reinterpret_cast<std::uintptr_t>(pointer));
}

}  // namespace

HostFile HostFile::open(const char* name, bool to_write) {
    const std::uint32_t block[] = {address(name), to_write ? 5u : 1u,
                                   static_cast<std::uint32_t>(std::strlen(name))};  // "wb", "rb"
    HostFile file;
    file.handle_ = semihosting(sys_open, block);
    return file;
}

std::size_t HostFile::read(std::span<char> into) {
    const std::uint32_t block[] = {static_cast<std::uint32_t>(handle_), address(into.data()),
                                   static_cast<std::uint32_t>(into.size())};
    const auto not_read = static_cast<std::size_t>(semihosting(sys_read, block));
    return not_read > into.size() ? 0 : into.size() - not_read;
}

bool HostFile::write(std::string_view bytes) {
    const std::uint32_t block[] = {static_cast<std::uint32_t>(handle_), address(bytes.data()),
                                   static_cast<std::uint32_t>(bytes.size())};
    return semihosting(sys_write, block) == 0;
}

bool HostFile::close() {
    const std::uint32_t block[] = {static_cast<std::uint32_t>(handle_)};
    return semihosting(sys_close, block) == 0;
}

bool command_line(std::span<char> buffer, std::span<const char*> words) {
    const std::uint32_t block[] = {address(buffer.data()), static_cast<std::uint32_t>(buffer.size() - 1)};
    if (semihosting(sys_get_cmdline, block) != 0) return false;
    std::size_t count = 0;
    bool inside = false;
    for (char& c : buffer) {
        if (c == '\0') break;
        if (c == ' ') {
            c = '\0';
            inside = false;
        } else if (!inside) {
            inside = true;
            if (count > words.size()) return false;
            if (count > 0) words[count - 1] = &c;  // the first is the program itself
            ++count;
        }
    }
    return count == words.size() + 1;
}

}  // namespace ampturn::target
