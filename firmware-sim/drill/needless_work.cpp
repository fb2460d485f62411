#include "firmware-sim/drill/needless_work.hpp"

#include <algorithm>
#include <map>
#include <set>

namespace ampturn::sim::drill {

using site::Action;
using site::Purpose;
using Kind = site::EventType::Kind;

std::vector<NeedlessWork> needless_work(const Drill& drill, const Timeline& timeline) {
    std::multiset<Action> named;
    for (const GoodStep& step : drill.good)
        if (step.did)
            for (const site::EventType& type : step.did->types)
                if (type.kind == Kind::did) named.insert(std::get<Action>(type.detail));
    std::vector<NeedlessWork> out;
    std::map<Action, site::EventType> shown;  // by each look, with nothing done or happened since
    for (std::size_t i = 0; i < timeline.size(); ++i) {
        const DrillEvent& event = timeline[i];
        if (event.type.kind != Kind::did) {
            if (event.type.kind != Kind::found && event.type.kind != Kind::story &&
                event.type.kind != Kind::remark && event.type.kind != Kind::radio)
                shown.clear();
            continue;
        }
        const Action action = std::get<Action>(event.type.detail);
        // What follows of it stands at the same time.
        bool mended = false;
        const site::EventType* finding = nullptr;
        for (std::size_t k = i + 1; k < timeline.size() && timeline[k].time_s <= event.time_s; ++k) {
            mended |=
                timeline[k].type.kind == Kind::fault_cleared || timeline[k].type.kind == Kind::fault_set;
            if (timeline[k].type.kind == Kind::found && finding == nullptr) finding = &timeline[k].type;
        }
        const Purpose purpose = info(action).purpose;
        if (purpose == Purpose::look && finding != nullptr) {
            const auto before = shown.find(action);
            if (before != shown.end() && before->second == *finding) out.push_back({event.time_s, action});
            shown.insert_or_assign(action, *finding);
        } else {
            if (purpose == Purpose::mend && !mended) {
                const auto asked_for = named.find(action);
                if (asked_for == named.end())
                    out.push_back({event.time_s, action});
                else
                    named.erase(asked_for);
            }
            shown.clear();
        }
    }
    return out;
}

}  // namespace ampturn::sim::drill
