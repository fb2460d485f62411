#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "firmware-sim/drill/drill.hpp"
#include "firmware-sim/drill/timeline.hpp"

namespace ampturn::sim::drill {

enum class DrillEnd {
    goal,  ///< what Drill::ends_on names has happened
    time_limit,
    finished_on_panel,
    session_closed,
};

/// Plays a drill: watches what happens, sets faults in time, keeps the timeline, knows when it is over. Times
/// are virtual seconds since the drill began.
class DrillRun {
  public:
    struct Order {  // what the scenario wants done now
        std::optional<site::Fault> set_fault, clear_fault;
        std::string say;
    };
    explicit DrillRun(Drill drill);

    const Drill& drill() const { return drill_; }
    const Timeline& timeline() const { return timeline_; }
    /// An event of the site or a remark; the scenario may go on from it.
    void note(DrillEvent event);
    /// When the scenario acts next; nothing when it only waits for what happens.
    std::optional<double> next_due_s() const;
    /// What is due at or before `time_s`, in order; each is handed out once.
    std::vector<Order> take_due(double time_s);
    bool over() const { return end_.has_value(); }
    /// 0 while it is not over.
    double end_s() const { return end_ ? end_->time_s : 0; }
    std::optional<DrillEnd> ended_by() const { return end_ ? std::optional(end_->why) : std::nullopt; }
    void finish(double time_s, DrillEnd why);

  private:
    struct Pending {
        double time_s;
        std::size_t order;  // ties: as scheduled
        Order what;
    };
    struct End {
        double time_s;
        DrillEnd why;
    };
    void schedule(double time_s, Order what);
    void schedule_event(double time_s, const ScenarioEvent& event);

    Drill drill_;
    Timeline timeline_;
    std::vector<Pending> pending_;
    std::vector<bool> used_;
    std::size_t scheduled_ = 0;
    std::optional<End> end_;
};

/// For people: why the drill is over; empty while it is not.
std::string ended_by_text(const DrillRun& run);

}  // namespace ampturn::sim::drill
