#pragma once

#include <cstddef>
#include <cstdint>
#include <cstring>
#include <nlohmann/json.hpp>
#include <utility>
#include <vector>

namespace ampturn::field_request {

/// A list of numbers as the bytes of its doubles. In a JSON value it takes half of what a list takes: the value's own kind for bytes
/// holds it, which no JSON text can give, so that a packed list is known by it.
class PackedNumbers {
  public:
    using Json = nlohmann::ordered_json;

    /// Shorter lists stay as they are written in a JSON value: messages show them.
    static constexpr std::size_t least_count = 1000;

    std::size_t size() const { return bytes_.size() / sizeof(double); }
    bool empty() const { return bytes_.empty(); }
    /// index < size().
    double operator[](std::size_t index) const {
        double value;
        std::memcpy(&value, bytes_.data() + index * sizeof value, sizeof value);
        return value;
    }
    void append(double value) {
        const std::size_t at = bytes_.size();
        bytes_.resize(at + sizeof value);
        std::memcpy(bytes_.data() + at, &value, sizeof value);
    }

    static bool held_by(const Json& json) { return json.is_binary(); }
    /// Into a value and out of it again, without a copy.
    Json into_json() && { return Json::binary(std::move(bytes_)); }
    static PackedNumbers out_of(Json& json) {
        PackedNumbers out;
        out.bytes_ = std::move(json.get_binary());
        return out;
    }

  private:
    std::vector<std::uint8_t> bytes_;
};

}  // namespace ampturn::field_request
