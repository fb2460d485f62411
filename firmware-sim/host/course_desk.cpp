#include "firmware-sim/host/course_desk.hpp"

#include <algorithm>
#include <filesystem>
#include <utility>

#include "firmware-sim/course/drill_parts.hpp"
#include "firmware-sim/session/panel_message.hpp"
#include "firmware-sim/site/utc_text.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"
#include "scheduler/base/output_file.hpp"

namespace ampturn::sim::host {

namespace {

using nlohmann::json;
using record::Role;

std::string refusal(const std::string& why) {
    return json{{"kind", "reply"}, {"accepted", false}, {"text", why}}.dump();
}

json attempt_json(const course::Attempt& one) {
    return {{"utc", one.utc},
            {"trainee", one.trainee},
            {"drill", one.drill},
            {"title", one.title},
            {"level", one.level},
            {"attempt", one.number},
            {"time_s", one.time_s},
            {"points", one.points},
            {"points_max", one.points_max},
            {"percent", one.percent},
            {"pass_percent", one.pass_percent},
            {"passed", one.passed},
            {"ended_by", one.ended_by}};
}

}  // namespace

CourseDesk::CourseDesk(course::Course course, const std::string& sheet_path, session::SessionSetup setup,
                       bool own_plan)
    : course_(std::move(course)), sheet_(sheet_path), setup_(std::move(setup)), own_plan_(own_plan) {
    for (const course::CourseDrill& drill : course_.drills()) add_plan(drill);
}

void CourseDesk::add_plan(const course::CourseDrill& drill) {
    if (own_plan_ || !drill.drill.start.plan) return;
    const std::string path =
        (std::filesystem::path(drill.path).parent_path() / *drill.drill.start.plan).string();
    const Plan plan{path, base::read_input_file(path, "a plan (TOML)")};
    (void)site::transmitter_setup_of(plan.text, plan.path,
                                     setup_.seed);  // here, not in the middle of a class
    plans_[drill.drill.id] = plan;
}

session::SessionSetup CourseDesk::begin(const std::string& id, const std::string& trainee) {
    const course::CourseDrill* drill = course_.find(id);
    session::SessionSetup setup = setup_;
    setup.trainee = trainee;
    setup.drill_path = drill->path;
    setup.drill_text = drill->text;
    if (const auto plan = plans_.find(id); plan != plans_.end()) {
        setup.plan_path = plan->second.path;
        setup.plan_text = plan->second.text;
    }
    running_ = id;
    trainee_ = trainee;
    return setup;
}

CourseDesk::Reply CourseDesk::start(const record::SessionInput& input, const course::CourseDrill* drill,
                                    const std::string& trainee) {
    if (input.role == Role::watcher) return {refusal("this panel may look and stop, no more"), {}};
    if (drill == nullptr) return {refusal("no such drill in this course"), {}};
    if (!trainee.empty() && !course::good_name(trainee))
        return {refusal(std::string("a name: ") + course::name_form), {}};
    return {json{{"kind", "reply"}, {"accepted", true}, {"text", drill->drill.title}}.dump(),
            begin(drill->drill.id, trainee)};
}

CourseDesk::Reply CourseDesk::make(const record::SessionInput& input, const json& parts) {
    if (input.role != Role::trainer) return {refusal("for the trainer: open the instructor's link"), {}};
    if (course_.folder().empty()) return {refusal("this course is a single drill and has no folder"), {}};
    try {
        const course::DrillParts chosen = course::parts_of_json(parts.dump());
        const std::string path = (std::filesystem::path(course_.folder()) / (chosen.id + ".toml")).string();
        if (std::filesystem::exists(path))
            return {refusal("there is a drill " + chosen.id + " already: choose another file name"), {}};
        course::CourseDrill made{path, course::drill_toml(chosen), {}};
        made.drill = drill::parse_drill(made.text, path);
        base::write_output_file(path, made.text);
        const json told{{"kind", "made"}, {"id", chosen.id}, {"file", path}, {"toml", made.text}};
        course_.add(std::move(made));
        return {told.dump(), {}};
    } catch (const base::InputError& error) {
        return {refusal(text_of(error.problems().front())), {}};
    }
}

std::optional<CourseDesk::Reply> CourseDesk::take(const record::SessionInput& input) {
    const session::PanelMessage asked(input.text);
    if (!asked.has("course")) return std::nullopt;
    const std::string what = asked.text("course");
    if (what == "list") return Reply{list(input.role).dump(), {}};
    if (what == "start") return start(input, course_.find(asked.text("drill")), asked.text("trainee"));
    if (what == "again") return start(input, course_.find(running_), trainee_);
    if (what == "next") return start(input, course_.after(running_), trainee_);
    if (what == "make") return make(input, asked.value("parts"));
    return Reply{refusal("list, start, again, next or make"), {}};
}

nlohmann::json CourseDesk::list(Role role) const {
    json drills = json::array(), attempts = json::array();
    for (const course::CourseDrill& one : course_.drills()) {
        json drill{{"id", one.drill.id},
                   {"title", one.drill.title},
                   {"level", one.drill.level},
                   {"time_limit_s", one.drill.time_limit_s},
                   {"pass_percent", one.drill.pass_percent}};
        if (const course::Attempt* best = sheet_.best(trainee_, one.drill.id))
            drill["best"] = {{"percent", best->percent},
                             {"passed", best->passed},
                             {"attempts", sheet_.count(trainee_, one.drill.id)}};
        drills.push_back(drill);
    }
    // Marks are the business of the trainer, and of each trainee the own ones.
    for (const course::Attempt& one : sheet_.attempts())
        if (role == Role::trainer || (role == Role::trainee && !trainee_.empty() && one.trainee == trainee_))
            attempts.push_back(attempt_json(one));
    json view{{"kind", "course"},    {"drills", drills},    {"attempts", attempts},
              {"running", running_}, {"trainee", trainee_}, {"role", record::name_of(role)}};
    if (role == Role::trainer) {
        view["csv"] = sheet_.csv();
        json faults = json::array();
        for (int i = 0; i < site::fault_count; ++i) {
            const site::FaultInfo& about = site::info(static_cast<site::Fault>(i));
            faults.push_back({{"name", about.name}, {"label", about.label}});
        }
        if (!course_.folder().empty()) view["parts"] = faults;
    }
    return view;
}

void CourseDesk::note(const session::Session& session, const session::SessionSetup& setup,
                      const std::string& log) {
    const drill::DrillRun* run = session.drill();
    if (run == nullptr || !run->over()) return;
    const drill::Timeline& timeline = run->timeline();
    const bool worked = std::any_of(timeline.begin(), timeline.end(), [](const drill::DrillEvent& event) {
        return event.type.kind == site::EventType::Kind::did;
    });
    if (!worked) return;
    const drill::Score score = drill::score(run->drill(), timeline, run->end_s());
    sheet_.add({.utc = site::utc_text_ms(setup.start_utc_s, 0).substr(0, 19) + "Z",
                .trainee = setup.trainee,
                .drill = run->drill().id,
                .title = run->drill().title,
                .level = run->drill().level,
                .time_s = run->end_s(),
                .points = score.points,
                .points_max = score.points_max,
                .percent = score.percent,
                .pass_percent = run->drill().pass_percent,
                .passed = score.passed,
                .ended_by = drill::ended_by_text(*run),
                .log = log});
}

nlohmann::json CourseDesk::status() const {
    const course::CourseDrill* next = running_.empty() ? nullptr : course_.after(running_);
    json view{{"running", running_}, {"trainee", trainee_}};
    if (next != nullptr) view["next"] = next->drill.title;
    return view;
}

}  // namespace ampturn::sim::host
