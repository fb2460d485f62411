#pragma once

#include "scheduler/run/names.hpp"

namespace ampturn::sim {

using run::explain;
using run::name_of;

}  // namespace ampturn::sim
