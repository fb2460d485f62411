#pragma once

#include <optional>
#include <string>
#include <vector>

#include "firmware-sim/drill/drill.hpp"

namespace ampturn::sim::course {

/// A drill of a course, with the text it was read from.
struct CourseDrill {
    std::string path, text;
    drill::Drill drill;
};

/// One drill. InputError for what is wrong with it.
CourseDrill read_course_drill(const std::string& path);

/// Drills in the order they are best taken: by level, then by title.
class Course {
  public:
    /// All drills (*.toml) of a folder. InputError when there are none, or one of them is wrong.
    static Course of_folder(const std::string& folder);
    /// A course of one.
    static Course of_file(const std::string& path);

    const std::vector<CourseDrill>& drills() const { return drills_; }
    /// By the id of the drill (the file's name without .toml); null when there is none.
    const CourseDrill* find(const std::string& id) const;
    /// The one that comes after; null after the last.
    const CourseDrill* after(const std::string& id) const;
    /// Takes its place in the order.
    void add(CourseDrill drill);
    /// Where a new drill belongs; empty for a course of one.
    const std::string& folder() const { return folder_; }

  private:
    std::string folder_;
    std::vector<CourseDrill> drills_;
};

}  // namespace ampturn::sim::course
