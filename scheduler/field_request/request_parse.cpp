#include "scheduler/field_request/request_parse.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/nesting.hpp"
#include "scheduler/field_request/packed_numbers.hpp"

namespace ampturn::field_request {

namespace {

using Json = Node::Json;

/// Makes values of what the parser of the JSON library reports, one after the other.
class Builder {
  public:
    using number_integer_t = Json::number_integer_t;
    using number_unsigned_t = Json::number_unsigned_t;
    using number_float_t = Json::number_float_t;
    using string_t = Json::string_t;
    using binary_t = Json::binary_t;

    Builder(const RequestText& request, const char* allowed, ReceiverLists lists)
        : request_(request), allowed_(allowed), lists_(lists) {}
    Json take() { return std::move(root_); }

    bool null() { return put(nullptr); }
    bool boolean(bool value) { return put(value); }
    bool string(string_t& value) { return put(std::move(value)); }
    bool number_integer(number_integer_t value) { return number(value); }
    bool number_unsigned(number_unsigned_t value) { return number(value); }
    bool number_float(number_float_t value, const string_t&) { return number(value); }
    bool binary(binary_t&) { return false; }  // of other formats than JSON

    bool start_object(std::size_t) {
        go_deeper();
        open_.push_back(&place(Json::object()));
        return true;
    }
    bool key(string_t& name) {
        if (open_.size() == 1) below_receivers_ = name == "receivers";
        member_ = &(*open_.back())[name];
        return true;
    }
    bool end_object() {
        open_.pop_back();
        return true;
    }
    bool start_array(std::size_t) {
        go_deeper();
        const bool packable = lists_ == ReceiverLists::packed && below_receivers_ && open_.size() == 2 &&
                              open_.back()->is_object();
        open_.push_back(&place(Json::array()));
        if (packable) packing_.emplace();
        return true;
    }
    bool end_array() {
        if (packing_ && !packing_->empty()) *open_.back() = std::move(*packing_).into_json();
        packing_.reset();
        open_.pop_back();
        return true;
    }
    bool parse_error(std::size_t byte, const std::string& token, const Json::exception& error) {
        constexpr int number_overflow = 406;
        base::Position position = base::position_of_byte(request_.text, byte > 0 ? byte - 1 : 0);
        position.line += request_.first_line - 1;
        const bool overflow = error.id == number_overflow;
        throw base::InputError(base::InputProblem{
            .file = request_.file,
            .position = position,
            .key = "",
            .found = overflow ? token : "text that is not JSON",
            .allowed = overflow ? "numbers that a double takes, below 1.8e308" : allowed_});
    }

  private:
    /// The parser does not say where it is.
    void go_deeper() const {
        if (open_.size() < static_cast<std::size_t>(base::nesting_max)) return;
        base::Position position =
            base::position_of_byte(request_.text, *base::json_nested_too_deep(request_.text));
        position.line += request_.first_line - 1;
        throw base::InputError(base::InputProblem{.file = request_.file,
                                                  .position = position,
                                                  .key = "",
                                                  .found = base::json_nesting_found,
                                                  .allowed = base::nesting_allowed});
    }
    /// Where the value that comes next belongs, with the value in it.
    Json& place(Json value) {
        if (open_.empty()) return root_ = std::move(value);
        unpack();
        Json& parent = *open_.back();
        if (parent.is_object()) return *member_ = std::move(value);
        parent.push_back(std::move(value));
        return parent.back();
    }
    bool put(Json value) {
        place(std::move(value));
        return true;
    }

    /// The first numbers of a list that may be packed are kept as written, then all go into bytes.
    template <class Number>
    bool number(Number value) {
        if (!packing_) return put(value);
        Json& list = *open_.back();
        if (packing_->empty() && list.size() < PackedNumbers::least_count) {
            list.push_back(value);
            return true;
        }
        if (packing_->empty()) {
            for (const Json& one : list) packing_->append(one.template get<double>());
            list.clear();
        }
        packing_->append(static_cast<double>(value));
        return true;
    }
    /// Something else in a list of numbers: it stays a list, and whoever reads it complains of that.
    void unpack() {
        if (!packing_) return;
        Json& list = *open_.back();
        for (std::size_t i = 0; i < packing_->size(); ++i) list.push_back((*packing_)[i]);
        packing_.reset();
    }

    const RequestText& request_;
    const char* allowed_;
    ReceiverLists lists_;
    Json root_;
    std::vector<Json*> open_;  // objects and lists, from the outermost
    Json* member_ = nullptr;   // of the innermost object, whose value comes next
    bool below_receivers_ = false;
    std::optional<PackedNumbers> packing_;  // of the innermost list
};

}  // namespace

Node::Json parse_request(const RequestText& request, const char* allowed, ReceiverLists lists) {
    Builder builder(request, allowed, lists);
    Json::sax_parse(request.text, &builder);
    return builder.take();
}

}  // namespace ampturn::field_request
