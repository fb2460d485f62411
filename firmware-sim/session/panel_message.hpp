#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>

namespace ampturn::sim::session {

/// A panel's message: an object whose members are texts, or true and false.
class PanelMessage {
  public:
    explicit PanelMessage(const std::string& text) : asked_(nlohmann::json::parse(text, nullptr, false)) {}
    bool is_object() const { return asked_.is_object(); }
    bool has(const char* key) const { return is_object() && asked_.contains(key); }
    /// Empty where there is none.
    std::string text(const char* key) const {
        const auto found = asked_.find(key);
        return found != asked_.end() && found->is_string() ? found->get<std::string>() : std::string();
    }
    std::optional<bool> flag(const char* key) const {
        const auto found = asked_.find(key);
        return found != asked_.end() && found->is_boolean() ? std::optional(found->get<bool>())
                                                            : std::nullopt;
    }

    /// null where there is none.
    nlohmann::json value(const char* key) const { return has(key) ? asked_[key] : nlohmann::json(); }

  private:
    nlohmann::json asked_;
};

}  // namespace ampturn::sim::session
