#include "firmware-sim/net/reachable_addresses.hpp"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <netinet/in.h>
#include <sys/socket.h>

#include <array>
#include <memory>

namespace ampturn::sim::net {

namespace {

/// Empty for a family not asked for, and for link-local addresses, which need an interface's name beside them.
std::string text_of(const sockaddr& address, bool v6) {
    std::array<char, INET6_ADDRSTRLEN> text{};
    if (!v6 && address.sa_family == AF_INET) {
        const auto& four = reinterpret_cast<const sockaddr_in&>(address);
        ::inet_ntop(AF_INET, &four.sin_addr, text.data(), text.size());
    } else if (v6 && address.sa_family == AF_INET6) {
        const auto& six = reinterpret_cast<const sockaddr_in6&>(address);
        if (IN6_IS_ADDR_LINKLOCAL(&six.sin6_addr)) return {};
        ::inet_ntop(AF_INET6, &six.sin6_addr, text.data(), text.size());
    }
    return text.data();
}

}  // namespace

std::vector<std::string> reachable_addresses(const std::string& listened) {
    const bool v6 = listened == "::";
    if (!v6 && listened != "0.0.0.0") return {listened};
    std::vector<std::string> out;
    ifaddrs* list = nullptr;
    if (::getifaddrs(&list) == 0) {
        const std::unique_ptr<ifaddrs, void (*)(ifaddrs*)> held(list, ::freeifaddrs);
        for (const ifaddrs* one = list; one != nullptr; one = one->ifa_next) {
            if (one->ifa_addr == nullptr) continue;
            const std::string text = text_of(*one->ifa_addr, v6);
            if (!text.empty() && text != "127.0.0.1" && text != "::1") out.push_back(text);
        }
    }
    out.emplace_back(v6 ? "::1" : "127.0.0.1");
    return out;
}

}  // namespace ampturn::sim::net
