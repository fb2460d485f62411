#pragma once

#include <cstdint>
#include <initializer_list>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "firmware-sim/scpi/lexer.hpp"

namespace ampturn::sim::scpi {

/// Thrown while a command reads its data; caught by the interpreter, which queues `error`.
struct Refused : std::runtime_error {
    explicit Refused(Error e) : std::runtime_error(e.detail), error(std::move(e)) {}
    Error error;
};

/// The unit of a numeric parameter; the suffixes it accepts are those of SCPI-99, volume 1, 7.2 (HZ, KHZ, MHZ
/// = megahertz as a special case, S, MS, US, NS, MIN, HR, A, MA, UA, NA, KA, V, MV, ...).
enum class PhysicalUnit { none, hertz, second, ampere };

struct Limits {
    double min, max, def;
    PhysicalUnit unit;
    const char* name;  // as shown in an error: "frequency, Hz"
};

/// Reads the data of one command in order; every fault is a Refused with the standard number.
class Parameters {
  public:
    explicit Parameters(const std::vector<Datum>& data) : data_(data) {}

    std::size_t left() const { return data_.size() - at_; }
    /// -109 when there is none.
    const Datum& next();
    /// A number with an optional suffix of the unit, or MINimum, MAXimum, DEFault. -222 outside the limits.
    double number(const Limits& limits);
    /// Every remaining parameter, at least one, as `read()` takes it from here; -223 when there are more.
    template <class Read>
    auto list(std::size_t count_max, Read read) {
        std::vector<decltype(read())> values;
        do {
            if (values.size() == count_max) refuse_more_than(count_max);
            values.push_back(read());
        } while (left() > 0);
        return values;
    }
    std::vector<double> numbers(const Limits& limits, std::size_t count_max);
    /// A number, rounded and then held against the limits (IEEE 488.2, 10.10: the data of common commands); a word is -148.
    std::int64_t plain_integer(std::int64_t min, std::int64_t max, const char* name);
    /// The same, or MINimum, MAXimum, DEFault (the lowest), as SCPI-99 has them wherever numbers are.
    std::int64_t integer(std::int64_t min, std::int64_t max, const char* name);
    /// ON, OFF or a number, rounded, where 0 is off (SCPI-99, 7.3).
    bool boolean();
    /// Index of the matching word, written as "IMMediate". -224 when none fits.
    int choice(std::initializer_list<const char*> words);
    std::string string();
    std::string block();
    /// -108 when something is left.
    void end() const;

  private:
    [[noreturn]] static void refuse_more_than(std::size_t count_max);

    const std::vector<Datum>& data_;
    std::size_t at_ = 0;
};

/// The value of an optional MIN, MAX or DEF after a query ("LIST:FREQ? MAX"); nothing when there is none.
const double* requested_limit(Parameters& parameters, const Limits& limits);

/// NR3 with seven significant digits, as "2.400000E+03"; 9.91E+37 for not-a-number (SCPI-99, 7.2.1.5).
std::string nr3(double value);
/// "#<digits><length><bytes>".
std::string definite_block(std::string_view bytes);

}  // namespace ampturn::sim::scpi
