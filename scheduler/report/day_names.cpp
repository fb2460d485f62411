#include "scheduler/report/day_names.hpp"

#include <algorithm>

namespace ampturn::plan {

namespace {

template <class List>
std::string name_in(const List& list, int index) {
    const auto place = static_cast<std::size_t>(index);
    return index >= 0 && place < list.size() ? list[place].name : std::string();
}

}  // namespace

std::string stand_name(const DayResult& day, int stand_index) { return name_in(day.stands, stand_index); }
std::string station_name(const DayResult& day, int station_index) {
    return name_in(day.stations, station_index);
}

std::string date_text(const DayResult& day) { return day.date.empty() ? "no date given" : day.date; }

const StationFrequency* judged_at(const DayResult& day, int station_index, int frequency_index) {
    const auto is_it = [&](const StationFrequency& j) {
        return j.station_index == station_index && j.frequency_index == frequency_index;
    };
    // Usually the list is complete and in order, so look there first.
    const std::size_t guess = static_cast<std::size_t>(station_index) * day.frequencies_hz.size() +
                              static_cast<std::size_t>(frequency_index);
    if (guess < day.judged.size() && is_it(day.judged[guess])) return &day.judged[guess];
    const auto found = std::find_if(day.judged.begin(), day.judged.end(), is_it);
    return found == day.judged.end() ? nullptr : &*found;
}

double weakest_snr(const StationFrequency& judged) {
    return std::min({judged.snr_a.ex, judged.snr_a.ey, judged.snr_a.hx, judged.snr_a.hy, judged.snr_b.ex,
                     judged.snr_b.ey, judged.snr_b.hx, judged.snr_b.hy});
}

}  // namespace ampturn::plan
