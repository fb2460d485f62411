#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace ampturn::sim::net {

/// Who may speak to the panel. A browser sends Host with every request and Origin with every WebSocket, so
/// pages of other sites (and names re-bound to this address) are told apart from our own page.
class OriginPolicy {
  public:
    /// `hosts`: the names and addresses this server answers to, without port.
    OriginPolicy(std::vector<std::string> hosts, std::uint16_t port)
        : hosts_(std::move(hosts)), port_(port) {}

    /// Host header: one of our names, with our port (or none when our port is 80). Empty is refused.
    bool host_allowed(std::string_view host) const;
    /// Origin header: absent (not a browser) or http:// and an allowed host. "null" is refused.
    bool origin_allowed(std::string_view origin) const;

  private:
    std::vector<std::string> hosts_;
    std::uint16_t port_;
};

/// True for 127.0.0.0/8 and ::1.
bool is_loopback(const std::string& address);

}  // namespace ampturn::sim::net
