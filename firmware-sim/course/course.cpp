#include "firmware-sim/course/course.hpp"

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <tuple>
#include <utility>

#include "scheduler/base/input_error.hpp"
#include "scheduler/base/input_file.hpp"

namespace ampturn::sim::course {

namespace fs = std::filesystem;

CourseDrill read_course_drill(const std::string& path) {
    CourseDrill read{path, base::read_input_file(path, "a drill (TOML)"), {}};
    read.drill = drill::parse_drill(read.text, path);
    return read;
}

Course Course::of_folder(const std::string& folder) {
    const auto refuse = [&](const std::string& found) {
        throw base::InputError({.file = folder,
                                .position = {},
                                .key = {},
                                .found = found,
                                .allowed = "a folder with drills (*.toml)"});
    };
    std::error_code error;
    std::vector<std::string> paths;
    for (fs::directory_iterator entry(folder, error), end; !error && entry != end; entry.increment(error))
        if (entry->path().extension() == ".toml") paths.push_back(entry->path().string());
    if (error) refuse(error.message());
    if (paths.empty()) refuse("no drill");
    std::sort(paths.begin(), paths.end());
    Course course;
    course.folder_ = folder;
    for (const std::string& path : paths) course.add(read_course_drill(path));
    return course;
}

Course Course::of_file(const std::string& path) {
    Course course;
    course.add(read_course_drill(path));
    return course;
}

void Course::add(CourseDrill drill) {
    const auto key = [](const CourseDrill& one) {
        return std::tie(one.drill.level, one.drill.title, one.drill.id);
    };
    const auto place =
        std::upper_bound(drills_.begin(), drills_.end(), drill,
                         [&](const CourseDrill& a, const CourseDrill& b) { return key(a) < key(b); });
    drills_.insert(place, std::move(drill));
}

const CourseDrill* Course::find(const std::string& id) const {
    const auto found = std::find_if(drills_.begin(), drills_.end(),
                                    [&](const CourseDrill& one) { return one.drill.id == id; });
    return found == drills_.end() ? nullptr : &*found;
}

const CourseDrill* Course::after(const std::string& id) const {
    const CourseDrill* at = find(id);
    return at == nullptr || at == &drills_.back() ? nullptr : at + 1;
}

}  // namespace ampturn::sim::course
