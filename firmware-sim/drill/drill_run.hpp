#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "firmware-sim/drill/drill.hpp"
#include "firmware-sim/drill/timeline.hpp"

namespace ampturn::sim {

/// Plays a drill: watches what happens, sets faults in time, keeps the timeline, knows when it is over. Times
/// are virtual seconds since the drill began.
class DrillRun {
  public:
    struct Order {  // what the scenario wants done now
        std::string set_fault, clear_fault, say;
    };
    explicit DrillRun(Drill drill);

    const Drill& drill() const { return drill_; }
    const Timeline& timeline() const { return timeline_; }
    /// A happening of the site or a remark; may schedule further events.
    void note(Happening happening);
    /// When the scenario acts next; nothing when it only waits for happenings.
    std::optional<double> next_due_s() const;
    /// What is due at or before `time_s`, in order; each is handed out once.
    std::vector<Order> take_due(double time_s);
    bool over() const { return end_s_.has_value(); }
    double end_s() const { return end_s_.value_or(0); }
    const std::string& ended_by() const { return ended_by_; }
    void finish(double time_s, const std::string& why);

  private:
    struct Pending {
        double time_s;
        std::size_t order;  // ties: as scheduled
        Order what;
    };
    void schedule(double time_s, Order what);
    void schedule_event(double time_s, const DrillEvent& event);

    Drill drill_;
    Timeline timeline_;
    std::vector<Pending> pending_;
    std::vector<bool> used_;
    std::size_t scheduled_ = 0;
    std::optional<double> end_s_;
    std::string ended_by_;
};

}  // namespace ampturn::sim
