#include "scheduler/report/day_names.hpp"

#include <algorithm>
#include <numeric>

namespace ampturn::report {

namespace {

template <class List>
std::string name_in(const List& list, int index) {
    const auto place = static_cast<std::size_t>(index);
    return index >= 0 && place < list.size() ? list[place].name : std::string();
}

}  // namespace

std::string site_name(const day::DayResult& day, int site_index) { return name_in(day.sites, site_index); }
std::string station_name(const day::DayResult& day, int station_index) {
    return name_in(day.stations, station_index);
}

std::string station_names(const day::DayResult& day, const std::vector<int>& station_indices) {
    std::string out;
    for (const int index : station_indices) out += (out.empty() ? "" : ", ") + station_name(day, index);
    return out;
}
std::string receiver_crew_name(const day::DayResult& day, int receiver_index) {
    return name_in(day.receiver_crews, receiver_index);
}
std::vector<int> stations_of_crew(const day::DayResult& day, int receiver_index) {
    std::vector<int> out;
    for (std::size_t s = 0; s < day.stations.size(); ++s)
        if (day.stations[s].crew_index == receiver_index) out.push_back(static_cast<int>(s));
    return out;
}

std::string date_text(const day::DayResult& day) { return day.date.empty() ? "no date given" : day.date; }

const reading::Reading* reading_at(const day::DayResult& day, int station_index, int frequency_index) {
    const auto is_it = [&](const reading::Reading& j) {
        return j.station_index == station_index && j.frequency_index == frequency_index;
    };
    // Usually the list is complete and in order, so look there first.
    const std::size_t guess = static_cast<std::size_t>(station_index) * day.frequencies_hz.size() +
                              static_cast<std::size_t>(frequency_index);
    if (guess < day.readings.size() && is_it(day.readings[guess])) return &day.readings[guess];
    const auto found = std::find_if(day.readings.begin(), day.readings.end(), is_it);
    return found == day.readings.end() ? nullptr : &*found;
}

std::vector<std::size_t> high_frequencies_first(const day::DayResult& day) {
    std::vector<std::size_t> out(day.frequencies_hz.size());
    std::iota(out.begin(), out.end(), std::size_t{0});
    std::stable_sort(out.begin(), out.end(), [&](std::size_t a, std::size_t b) {
        return day.frequencies_hz[a] > day.frequencies_hz[b];
    });
    return out;
}

double weakest_snr(const reading::Reading& reading) {
    return std::min({reading.snr_a.ex, reading.snr_a.ey, reading.snr_a.hx, reading.snr_a.hy, reading.snr_b.ex,
                     reading.snr_b.ey, reading.snr_b.hx, reading.snr_b.hy});
}

}  // namespace ampturn::report
