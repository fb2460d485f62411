#include "scheduler/base/json.hpp"

#include <fmt/format.h>

#include <cctype>
#include <cmath>
#include <cstddef>
#include <utility>

#include "scheduler/base/number_text.hpp"

namespace ampturn::base {

nlohmann::ordered_json json_number(double value) {
    if (!std::isfinite(value)) return nullptr;
    const double rounded = number_in(fmt::format("{:.9g}", value)).value_or(value);
    return rounded == 0 ? 0.0 : rounded;
}

namespace {

template <class Json>
void round_numbers(Json& value) {
    if (value.is_number_float())
        value = Json(json_number(value.template get<double>()));
    else if (value.is_structured())
        for (Json& member : value) round_numbers(member);
}

template <class Json>
std::string rounded_text(Json value, int indent) {
    round_numbers(value);
    return value.dump(indent, ' ', false, Json::error_handler_t::replace) + (indent < 0 ? "" : "\n");
}

class Walker {
  public:
    explicit Walker(const std::string& text) : text_(text) {}

    std::map<std::string, Position> walk() {
        value("");
        return std::move(positions_);
    }

  private:
    void value(const std::string& path) {
        space();
        positions_[path] = {line_, column_};
        switch (text_[at_]) {
            case '{':
                members(path);
                break;
            case '[':
                elements(path);
                break;
            case '"':
                string();
                break;
            default:
                while (at_ < text_.size() && !std::isspace(static_cast<unsigned char>(text_[at_])) &&
                       text_[at_] != ',' && text_[at_] != ']' && text_[at_] != '}')
                    step();
        }
        space();
    }

    void members(const std::string& path) {
        step();
        for (space(); text_[at_] != '}'; space()) {
            if (text_[at_] == ',') {
                step();
                space();
            }
            const std::string key = string();
            space();
            step();  // the colon
            std::string below = path;
            if (!below.empty()) below += '.';
            value(below += key);
        }
        step();
    }

    void elements(const std::string& path) {
        step();
        std::size_t index = 0;
        for (space(); text_[at_] != ']'; space()) {
            if (text_[at_] == ',') step();
            value(path + '[' + std::to_string(index++) + ']');
        }
        step();
    }

    std::string string() {
        std::string content;
        step();
        while (text_[at_] != '"') {
            if (text_[at_] == '\\') step();
            content += text_[at_];
            step();
        }
        step();
        return content;
    }

    void space() {
        while (at_ < text_.size() && std::isspace(static_cast<unsigned char>(text_[at_]))) step();
    }

    void step() {
        if (text_[at_++] == '\n') {
            ++line_;
            column_ = 1;
        } else {
            ++column_;
        }
    }

    const std::string& text_;
    std::size_t at_ = 0;
    int line_ = 1, column_ = 1;
    std::map<std::string, Position> positions_;
};

}  // namespace

std::string json_text(nlohmann::ordered_json value, int indent) {
    return rounded_text(std::move(value), indent);
}
std::string json_text(const nlohmann::json& value, int indent) { return rounded_text(value, indent); }

std::map<std::string, Position> json_positions(const std::string& text) { return Walker(text).walk(); }

Position position_of_byte(std::string_view text, std::size_t byte) {
    Position at{1, 1};
    for (std::size_t i = 0; i < byte && i < text.size(); ++i) {
        if (text[i] == '\n') {
            ++at.line;
            at.column = 1;
        } else {
            ++at.column;
        }
    }
    return at;
}

}  // namespace ampturn::base
