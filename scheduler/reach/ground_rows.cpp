#include "scheduler/reach/ground_rows.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>

#include "scheduler/base/json.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/reach/reach_json.hpp"

namespace ampturn::reach {

namespace {

using Json = ReachJson;

/// One line; text that is not UTF-8 with replacement marks.
std::string line_of(Json json) { return base::json_text(std::move(json), -1) + '\n'; }

std::string head_line(const GroundRowsSource& source, const field_request::GroundList& list,
                      const Reach& reach) {
    Json sent = Json::array(), stations = Json::array();
    for (const ReachFrequency& f : reach.frequencies) sent.push_back(sent_json(f));
    for (const ReachStation& s : reach.stations) stations.push_back(s.name);
    Json head{{"schema", ground_rows_schema},
              {"version", base::version()},
              {"git", base::git_hash()},
              {"first", list.range.first},
              {"count", list.range.count},
              {"total", list.total},
              {"grounds_crc32", base::crc32_text(list.crc32)}};
    head.update(survey_json(reach));
    head["frequencies"] = std::move(sent);
    head["stations"] = std::move(stations);
    head["settings"] = source.settings;
    head["plan_text"] = source.plan_text;
    return line_of(std::move(head));
}

std::string row_line(int number, const std::string& name, const Reach& reach) {
    Json frequencies = Json::array(), stations = Json::array();
    for (const ReachFrequency& f : reach.frequencies) {
        Json one{{"frequency_hz", base::json_number(f.frequency_hz)}};
        one.update(ground_json(f));
        one["all_directions"] = cell_json(f.all_directions);
        Json& usable = one["usable_by_sector"] = Json::array();
        for (const ReachCell& cell : f.sectors) usable.push_back(intervals_json(cell.usable));
        frequencies.push_back(std::move(one));
    }
    for (const ReachStation& s : reach.stations)
        stations.push_back({{"name", s.name}, {"in_window", s.in_window}});
    return line_of({{"ground", number},
                    {"name", name},
                    {"frequencies", std::move(frequencies)},
                    {"stations", std::move(stations)}});
}

}  // namespace

void write_ground_rows(const plan::Plan& plan, const GroundRowsSource& source,
                       const field_request::GroundList& list, const ReachOptions& options,
                       const std::function<void(std::string_view)>& out,
                       const std::function<void()>& advance) {
    const setup::SweepSetup planned = setup::sweep_setup_of(plan);
    ReachOptions alone = options;
    alone.threads = 1;  // a ground is computed by one thread
    const std::size_t round = 4 * std::size_t{options.threads};
    for (std::size_t done = 0; done < list.grounds.size(); done += round) {
        std::vector<Reach> reaches(std::min(round, list.grounds.size() - done));
        base::parallel_for(reaches.size(), options.threads, [&](std::size_t i) {
            setup::SweepSetup setup = planned;
            setup.earth = list.grounds[done + i];
            reaches[i] = reach_over(plan, setup, alone);
        });
        if (done == 0) out(head_line(source, list, reaches.front()));
        for (std::size_t i = 0; i < reaches.size(); ++i) {
            out(row_line(list.range.first + static_cast<int>(done + i) + 1, list.names[done + i],
                         reaches[i]));
            advance();
        }
    }
}

}  // namespace ampturn::reach
