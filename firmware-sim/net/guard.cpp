#include "firmware-sim/net/guard.hpp"

#include <fmt/format.h>
#include <sys/random.h>

#include <array>
#include <boost/asio/ip/address.hpp>
#include <cerrno>
#include <system_error>

namespace ampturn::sim {
namespace {

std::string lower(std::string_view text) {
    std::string result(text);
    for (char& c : result) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    }
    return result;
}

}  // namespace

bool Guard::host_allowed(std::string_view host) const {
    const std::string wanted = lower(host);
    for (const std::string& name : hosts_) {
        const std::string bare = name.find(':') != std::string::npos ? "[" + name + "]" : lower(name);
        if (wanted == fmt::format("{}:{}", bare, port_)) return true;
        if (port_ == 80 && wanted == bare) return true;
    }
    return false;
}

bool Guard::origin_allowed(std::string_view origin) const {
    if (origin.empty()) return true;
    constexpr std::string_view scheme = "http://";
    return origin.starts_with(scheme) && host_allowed(origin.substr(scheme.size()));
}

bool same_secret(std::string_view a, std::string_view b) {
    unsigned difference = a.size() == b.size() ? 0 : 1;
    for (std::size_t i = 0; i < a.size(); ++i) {
        const char other = b.empty() ? '\0' : b[i % b.size()];
        difference |=
            static_cast<unsigned>(static_cast<unsigned char>(a[i]) ^ static_cast<unsigned char>(other));
    }
    return difference == 0;
}

std::string new_token() {
    std::array<unsigned char, 16> bytes{};
    if (::getrandom(bytes.data(), bytes.size(), 0) != static_cast<ssize_t>(bytes.size())) {
        throw std::system_error(errno, std::generic_category(), "random source");
    }
    std::string token;
    for (const unsigned char byte : bytes) token += fmt::format("{:02x}", byte);
    return token;
}

bool is_loopback(const std::string& address) {
    boost::system::error_code error;
    const auto parsed = boost::asio::ip::make_address(address, error);
    return !error && parsed.is_loopback();
}

}  // namespace ampturn::sim
