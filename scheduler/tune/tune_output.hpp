#pragma once

#include <optional>
#include <string>

#include "scheduler/day/day_result.hpp"
#include "scheduler/tune/tune.hpp"

namespace ampturn::tune {

/// The day run with the old and the new table: what the tuning is worth on the real sequencer.
struct TunedDays {
    day::DayResult before, after;
};

/// For a terminal, at most 100 columns: sums, dwells before and after, a line for each frequency.
std::string tune_text(const Tuned& tuned, const std::optional<TunedDays>& days, bool colour);
/// Schema "ampturn.tune" 1; units in the keys.
std::string tune_json_text(const Tuned& tuned, const std::optional<TunedDays>& days);
/// tune.csv: a row per frequency.
std::string tune_csv(const Tuned& tuned);
/// One self-contained page: dwells before and after as bars, tables.
std::string tune_html(const Tuned& tuned, const std::optional<TunedDays>& days);

/// A page whose body has a place "chart-dwell": drawn from the frequencies of `json_text`, each with
/// frequency_hz, dwell_a_before_s, dwell_b_before_s, dwell_a_s, dwell_b_s.
std::string dwell_page(const std::string& title, const std::string& body, const std::string& json_text);

}  // namespace ampturn::tune
