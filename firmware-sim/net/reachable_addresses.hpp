#pragma once

#include <string>
#include <vector>

namespace ampturn::sim::net {

/// Where a server that listens on this numeric address can be reached: the address itself; for one that stands for all
/// ("0.0.0.0", "::") those of the machine's interfaces, loopback last. Never empty.
std::vector<std::string> reachable_addresses(const std::string& listened);

}  // namespace ampturn::sim::net
