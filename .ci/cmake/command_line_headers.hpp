// Precompiled for the rooms of the command lines: see room.cmake.
#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>

#include ".ci/cmake/common_headers.hpp"
