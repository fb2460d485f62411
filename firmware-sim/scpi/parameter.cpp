#include "firmware-sim/scpi/parameter.hpp"

#include <fmt/format.h>

#include <cmath>

#include "firmware-sim/scpi/tree.hpp"

namespace ampturn::sim::scpi {
namespace {

struct Suffix {
    const char* text;
    double factor;
};

double factor_of(PhysicalUnit unit, const std::string& text) {
    static constexpr Suffix hertz[] = {{"HZ", 1}, {"KHZ", 1e3}, {"MHZ", 1e6}, {"MAHZ", 1e6}};
    static constexpr Suffix second[] = {{"S", 1},     {"MS", 1e-3}, {"US", 1e-6},
                                        {"NS", 1e-9}, {"MIN", 60},  {"HR", 3600}};
    static constexpr Suffix ampere[] = {{"A", 1}, {"MA", 1e-3}, {"UA", 1e-6}, {"NA", 1e-9}, {"KA", 1e3}};
    const auto look = [&](const auto& table, const char* allowed) {
        for (const Suffix& suffix : table) {
            if (text == suffix.text) return suffix.factor;
        }
        throw Refused({ErrorCode::invalid_suffix, fmt::format("{}; allowed {}", text, allowed)});
    };
    if (text.empty()) return 1;
    switch (unit) {
        case PhysicalUnit::none:
            throw Refused({ErrorCode::suffix_not_allowed, text});
        case PhysicalUnit::hertz:
            return look(hertz, "HZ KHZ MHZ");
        case PhysicalUnit::second:
            return look(second, "S MS US NS MIN HR");
        case PhysicalUnit::ampere:
            return look(ampere, "A MA UA NA KA");
    }
    return 1;
}

[[noreturn]] void refuse_kind(Datum::Kind found, const char* wanted) {
    const std::string detail = fmt::format("{} wanted", wanted);
    switch (found) {
        case Datum::Kind::number:
            throw Refused({ErrorCode::numeric_data_not_allowed, detail});
        case Datum::Kind::word:
            throw Refused({ErrorCode::character_data_not_allowed, detail});
        case Datum::Kind::string:
            throw Refused({ErrorCode::string_data_not_allowed, detail});
        case Datum::Kind::block:
            throw Refused({ErrorCode::block_data_not_allowed, detail});
        case Datum::Kind::expression:
            throw Refused({ErrorCode::expression_not_allowed, detail});
    }
    throw Refused({ErrorCode::data_type_error, detail});
}

}  // namespace

const Datum& Parameters::next() {
    if (at_ == data_.size()) throw Refused({ErrorCode::missing_parameter, {}});
    return data_[at_++];
}

double Parameters::number(const Limits& limits) {
    const Datum& datum = next();
    if (datum.kind == Datum::Kind::word) {
        if (is_form_of(datum.text, "MINimum")) return limits.min;
        if (is_form_of(datum.text, "MAXimum")) return limits.max;
        if (is_form_of(datum.text, "DEFault")) return limits.def;
        throw Refused({ErrorCode::illegal_parameter_value,
                       fmt::format("{}; allowed a number, MIN, MAX or DEF", datum.text)});
    }
    if (datum.kind != Datum::Kind::number) refuse_kind(datum.kind, "a number");
    const double value = datum.number * factor_of(limits.unit, datum.text);
    if (!(value >= limits.min && value <= limits.max)) {
        throw Refused({ErrorCode::data_out_of_range, fmt::format("{} {:g}; allowed {:g} to {:g}", limits.name,
                                                                 value, limits.min, limits.max)});
    }
    return value;
}

void Parameters::refuse_more_than(std::size_t count_max) {
    throw Refused({ErrorCode::too_much_data, fmt::format("at most {} values", count_max)});
}

std::vector<double> Parameters::numbers(const Limits& limits, std::size_t count_max) {
    return list(count_max, [&] { return number(limits); });
}

std::int64_t Parameters::plain_integer(std::int64_t min, std::int64_t max, const char* name) {
    const Datum& datum = next();
    if (datum.kind != Datum::Kind::number) refuse_kind(datum.kind, "a number");
    (void)factor_of(PhysicalUnit::none, datum.text);
    const double value = std::round(datum.number);
    if (!(value >= static_cast<double>(min) && value <= static_cast<double>(max)))
        throw Refused(
            {ErrorCode::data_out_of_range, fmt::format("{} {:g}; allowed {} to {}", name, value, min, max)});
    return std::llround(value);
}

std::int64_t Parameters::integer(std::int64_t min, std::int64_t max, const char* name) {
    if (left() > 0 && data_[at_].kind == Datum::Kind::word) {
        const double lowest = static_cast<double>(min);
        return std::llround(number({lowest, static_cast<double>(max), lowest, PhysicalUnit::none, name}));
    }
    return plain_integer(min, max, name);
}

bool Parameters::boolean() {
    const Datum& datum = next();
    if (datum.kind == Datum::Kind::word && datum.text == "ON") return true;
    if (datum.kind == Datum::Kind::word && datum.text == "OFF") return false;
    if (datum.kind == Datum::Kind::word) {
        throw Refused({ErrorCode::illegal_parameter_value, fmt::format("{}; allowed ON or OFF", datum.text)});
    }
    if (datum.kind != Datum::Kind::number) refuse_kind(datum.kind, "ON or OFF");
    return std::abs(datum.number) >= 0.5;
}

int Parameters::choice(std::initializer_list<const char*> words) {
    const Datum& datum = next();
    if (datum.kind != Datum::Kind::word) refuse_kind(datum.kind, "a word");
    int index = 0;
    std::string allowed;
    for (const char* word : words) {
        if (is_form_of(datum.text, word)) return index;
        allowed += fmt::format("{}{}", index++ ? ", " : "", word);
    }
    throw Refused({ErrorCode::illegal_parameter_value, fmt::format("{}; allowed {}", datum.text, allowed)});
}

std::string Parameters::string() {
    const Datum& datum = next();
    if (datum.kind != Datum::Kind::string) refuse_kind(datum.kind, "a quoted string");
    return datum.text;
}

std::string Parameters::block() {
    const Datum& datum = next();
    if (datum.kind != Datum::Kind::block) refuse_kind(datum.kind, "a definite-length block");
    return datum.text;
}

void Parameters::end() const {
    if (left() > 0) {
        throw Refused(
            {ErrorCode::parameter_not_allowed, fmt::format("{} given, {} used", data_.size(), at_)});
    }
}

const double* requested_limit(Parameters& parameters, const Limits& limits) {
    if (parameters.left() == 0) return nullptr;
    switch (parameters.choice({"MINimum", "MAXimum", "DEFault"})) {
        case 0:
            return &limits.min;
        case 1:
            return &limits.max;
        default:
            return &limits.def;
    }
}

std::string nr3(double value) {
    if (!std::isfinite(value)) {
        return std::isnan(value) ? "9.910000E+37" : value > 0 ? "9.900000E+37" : "-9.900000E+37";
    }
    return fmt::format("{:.6E}", value);
}

std::string definite_block(std::string_view bytes) {
    const std::string length = fmt::format("{}", bytes.size());
    return fmt::format("#{}{}", length.size(), length).append(bytes);
}

}  // namespace ampturn::sim::scpi
