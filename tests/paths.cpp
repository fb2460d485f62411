#include "tests/paths.hpp"

namespace ampturn::test {

std::string source_path(std::string_view below_root) {
    return AMPTURN_SOURCE_DIR "/" + std::string(below_root);
}

std::string program_path(std::string_view name) { return AMPTURN_BIN_DIR "/" + std::string(name); }

}  // namespace ampturn::test
