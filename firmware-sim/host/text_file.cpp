#include "firmware-sim/host/text_file.hpp"

#include <cerrno>
#include <cstring>
#include <fstream>
#include <iterator>

#include "scheduler/base/input_error.hpp"

namespace ampturn::sim {

std::string read_text_file(const std::string& path, const char* wanted) {
    std::ifstream file(path, std::ios::binary);
    std::string bytes;
    if (file) bytes.assign(std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>());
    if (!file.is_open() || file.bad()) {
        throw plan::InputError(
            {.file = path, .position = {}, .key = {}, .found = std::strerror(errno), .allowed = wanted});
    }
    return bytes;
}

}  // namespace ampturn::sim
