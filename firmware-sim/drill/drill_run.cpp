#include "firmware-sim/drill/drill_run.hpp"

#include <algorithm>
#include <utility>

#include "firmware-sim/drill/plain_words.hpp"

namespace ampturn::sim::drill {

DrillRun::DrillRun(Drill drill) : drill_(std::move(drill)), used_(drill_.events.size(), false) {
    for (const ScenarioEvent& event : drill_.events) {
        if (event.at_s) schedule_event(*event.at_s, event);
    }
}

void DrillRun::schedule(double time_s, Order what) {
    pending_.push_back({time_s, scheduled_++, std::move(what)});
}

void DrillRun::schedule_event(double time_s, const ScenarioEvent& event) {
    schedule(time_s, {event.fault, event.clear, event.say});
    if (event.for_s) schedule(time_s + *event.for_s, {{}, event.fault, {}});
}

void DrillRun::note(DrillEvent noted) {
    if (over()) return;
    timeline_.push_back(std::move(noted));
    const DrillEvent& now = timeline_.back();
    for (std::size_t i = 0; i < drill_.events.size(); ++i) {
        const ScenarioEvent& event = drill_.events[i];
        if (event.on != now.type || (used_[i] && !event.every)) continue;
        used_[i] = true;
        schedule_event(now.time_s + event.after_s, event);
    }
    if (drill_.ends_on == now.type) finish(now.time_s, DrillEnd::goal);
}

std::optional<double> DrillRun::next_due_s() const {
    if (over()) return std::nullopt;
    double next = drill_.time_limit_s;
    for (const Pending& one : pending_) next = std::min(next, one.time_s);
    return next;
}

std::vector<DrillRun::Order> DrillRun::take_due(double time_s) {
    std::vector<Order> due;
    if (over()) return due;
    std::sort(pending_.begin(), pending_.end(), [](const Pending& a, const Pending& b) {
        return a.time_s != b.time_s ? a.time_s < b.time_s : a.order < b.order;
    });
    std::size_t count = 0;
    while (count < pending_.size() && pending_[count].time_s <= time_s) due.push_back(pending_[count++].what);
    pending_.erase(pending_.begin(), pending_.begin() + static_cast<std::ptrdiff_t>(count));
    if (time_s >= drill_.time_limit_s) finish(drill_.time_limit_s, DrillEnd::time_limit);
    return due;
}

void DrillRun::finish(double time_s, DrillEnd why) {
    if (!over()) end_ = {time_s, why};
}

std::string ended_by_text(const DrillRun& run) {
    const std::optional<DrillEnd> why = run.ended_by();
    if (!why) return {};
    switch (*why) {
        case DrillEnd::goal:
            return plain_words(run.drill().ends_on.value());
        case DrillEnd::time_limit:
            return "time limit";
        case DrillEnd::finished_on_panel:
            return "finished on the panel";
        case DrillEnd::session_closed:
            return "session closed";
    }
    return {};
}

}  // namespace ampturn::sim::drill
