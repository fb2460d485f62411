#include "firmware-sim/net/origin_policy.hpp"

#include <fmt/format.h>

#include <boost/asio/ip/address.hpp>

namespace ampturn::sim::net {
namespace {

std::string lower(std::string_view text) {
    std::string result(text);
    for (char& c : result) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    }
    return result;
}

}  // namespace

bool OriginPolicy::host_allowed(std::string_view host) const {
    const std::string wanted = lower(host);
    for (const std::string& name : hosts_) {
        const std::string bare = name.find(':') != std::string::npos ? "[" + name + "]" : lower(name);
        if (wanted == fmt::format("{}:{}", bare, port_)) return true;
        if (port_ == 80 && wanted == bare) return true;
    }
    return false;
}

bool OriginPolicy::origin_allowed(std::string_view origin) const {
    if (origin.empty()) return true;
    constexpr std::string_view scheme = "http://";
    return origin.starts_with(scheme) && host_allowed(origin.substr(scheme.size()));
}

bool is_loopback(const std::string& address) {
    boost::system::error_code error;
    const auto parsed = boost::asio::ip::make_address(address, error);
    return !error && parsed.is_loopback();
}

}  // namespace ampturn::sim::net
