#pragma once

#include <map>
#include <optional>
#include <string>

#include <nlohmann/json.hpp>

#include "firmware-sim/course/class_sheet.hpp"
#include "firmware-sim/course/course.hpp"
#include "firmware-sim/record/session_input.hpp"
#include "firmware-sim/session/session.hpp"

namespace ampturn::sim::host {

/// Where panels ask for drills: the list, another start, the class sheet, a drill made from parts. The session that runs knows
/// nothing of it; a start ends that session and begins another one.
class CourseDesk {
  public:
    /// `setup`: what every session begins with. `own_plan`: its plan takes the place of what drills ask for.
    /// InputError for a plan that a drill names and that cannot be used.
    CourseDesk(course::Course course, const std::string& sheet_path, session::SessionSetup setup,
               bool own_plan);

    /// A message of a panel: nothing when it is not about the course.
    struct Reply {
        std::string json;                            // for the one who asked
        std::optional<session::SessionSetup> start;  // the session to begin
    };
    std::optional<Reply> take(const record::SessionInput& input);

    /// A drill of the course, by its id, is the one that runs from here on.
    session::SessionSetup begin(const std::string& id, const std::string& trainee);
    /// A drill is over, or the session that it ran in: into the class sheet, unless nothing was done. InputError when the
    /// sheet cannot be written.
    void note(const session::Session& session, const session::SessionSetup& setup, const std::string& log);
    /// For the status of the unit: the drill that runs and whether one comes after it.
    nlohmann::json status() const;

  private:
    Reply start(const record::SessionInput& input, const course::CourseDrill* drill,
                const std::string& trainee);
    Reply make(const record::SessionInput& input, const nlohmann::json& parts);
    nlohmann::json list(record::Role role) const;
    void add_plan(const course::CourseDrill& drill);

    course::Course course_;
    course::ClassSheet sheet_;
    session::SessionSetup setup_;
    bool own_plan_;
    struct Plan {
        std::string path, text;
    };
    std::map<std::string, Plan> plans_;  // that drills ask for, by the drill's id
    std::string running_, trainee_;
};

}  // namespace ampturn::sim::host
