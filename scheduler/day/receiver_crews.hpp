#pragma once

#include <cstddef>
#include <vector>

#include "scheduler/day/day_result.hpp"
#include "scheduler/day/time_left.hpp"
#include "scheduler/day/travel.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/plan/receiver_crew.hpp"

namespace ampturn::day {

/// The receiver crews through a day: where each is, when it is free, and what it does at its stations. Crews do not
/// wait for each other, only for the sweeps they listen to. Stations are indices into Plan::stations, in plan order;
/// times are seconds after local midnight.
class ReceiverCrews {
  public:
    /// All at the base at the start of the day. What they do goes to `timeline`, where there is one.
    ReceiverCrews(const plan::Plan& plan, const Travel& travel, std::vector<TimelineEntry>* timeline);

    const std::vector<CrewPlace>& crews() const { return crews_; }

    void leave(double time_s);
    /// Each crew goes to its stations one after the other and sets them up.
    void set_up(const std::vector<std::size_t>& stations);
    /// When the last of the crews of these stations is ready.
    double ready_s(const std::vector<std::size_t>& stations) const;
    void wait_until(const std::vector<std::size_t>& stations, double time_s);
    void look_at_data(const std::vector<std::size_t>& stations);
    /// Each crew packs up its stations in their order, walking back to the first.
    void pack_up(const std::vector<std::size_t>& stations);
    /// When each is back; NaN for a crew that has no station and never left.
    std::vector<double> go_home();

  private:
    void go(std::size_t crew, const std::string& to, int site, int station);
    void work(std::size_t crew, double span_s, Activity activity, std::size_t station);
    /// Each crew of these stations once.
    std::vector<std::size_t> crews_of(const std::vector<std::size_t>& stations) const;

    const plan::Plan& plan_;
    const Travel& travel_;
    std::vector<TimelineEntry>* timeline_;
    std::vector<plan::CrewValues> values_;
    std::vector<CrewPlace> crews_;
};

}  // namespace ampturn::day
