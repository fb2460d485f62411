#pragma once

#include <array>
#include <complex>
#include <cstddef>
#include <cstdint>
#include <initializer_list>
#include <nlohmann/json.hpp>
#include <span>
#include <string>
#include <vector>

namespace ampturn::field_request {

/// What a request is, for messages: its name and text, and the line of the file on which the text begins.
struct RequestText {
    std::string file, text;
    int first_line = 1;
};

/// A value of the request with its path, so that a complaint can say where it stands.
class Node {
  public:
    using Json = nlohmann::ordered_json;
    /// Keeps references.
    Node(const Json& json, std::string path, const RequestText& request)
        : json_(json), path_(std::move(path)), request_(request) {}

    const Json& json() const { return json_; }
    const std::string& path() const { return path_; }
    bool has(const char* key) const { return json_.is_object() && json_.contains(key); }
    /// A member, which has to be there; InputError otherwise.
    Node operator[](const char* key) const;
    Node at(std::size_t index) const;

    // InputError where the value is something else.
    std::size_t list_size() const;
    double number() const;
    /// `key` where it is there.
    double number_or(const char* key, double otherwise) const;
    std::vector<double> numbers() const;
    std::array<double, 3> three_numbers() const;
    std::complex<double> complex() const;
    void only_keys(std::initializer_list<const char*> known) const {
        only_keys(std::span(known.begin(), known.size()));
    }
    void only_keys(std::span<const char* const> known) const;

    [[noreturn]] void complain(const std::string& found, const std::string& allowed) const;
    /// Of what stands under a path that starts at this node.
    [[noreturn]] void complain_below(const std::string& path, const std::string& found,
                                     const std::string& allowed) const;
    std::string short_text() const;
    /// Of the whole text it stands in.
    std::uint32_t request_crc32() const;

  private:
    [[noreturn]] void complain_at(const std::string& path, const std::string& found,
                                  const std::string& allowed) const;

    const Json& json_;
    std::string path_;
    const RequestText& request_;
};

}  // namespace ampturn::field_request
