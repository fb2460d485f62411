#pragma once

#include <string>
#include <vector>

#include "scheduler/day/day_result.hpp"

namespace ampturn::report {

/// Names behind the indices of a day; an index outside the list (-1: none) gives "".
std::string site_name(const day::DayResult& day, int site_index);
std::string station_name(const day::DayResult& day, int station_index);

/// Of several stations, with commas between.
std::string station_names(const day::DayResult& day, const std::vector<int>& station_indices);
/// Of a receiver crew; "" where the plan has none.
std::string receiver_crew_name(const day::DayResult& day, int receiver_index);

/// Indices of its stations, in the order of the day.
std::vector<int> stations_of_crew(const day::DayResult& day, int receiver_index);

/// The date, or that there is none.
std::string date_text(const day::DayResult& day);

/// The reading of a station and frequency, nullptr when there is none.
const reading::Reading* reading_at(const day::DayResult& day, int station_index, int frequency_index);

/// The frequencies of the day as indices, the high ones, which see the shallow ground, first: the way all tables
/// and charts of frequencies run.
std::vector<std::size_t> high_frequencies_first(const day::DayResult& day);

/// The smallest power ratio among the four horizontal channels of both polarisations; 0 when not sent.
double weakest_snr(const reading::Reading& reading);

}  // namespace ampturn::report
