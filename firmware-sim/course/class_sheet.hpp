#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace ampturn::sim::course {

/// One drill taken once.
struct Attempt {
    std::string utc;  // when it began, by the unit's own time, 2026-06-01T08:00:00Z
    std::string trainee, drill, title;
    int level = 1;
    int number = 1;  // of this trainee at this drill
    double time_s = 0;
    double points = 0, points_max = 0, percent = 0, pass_percent = 0;
    bool passed = false;
    std::string ended_by;
    std::string log;  // file of the session

    bool operator==(const Attempt&) const = default;
};

/// The rows of a class sheet, oldest first; `path` names it in messages. InputError (line, column, found, allowed) for a file that is
/// none of ours.
std::vector<Attempt> attempts_of(const std::string& csv, const std::string& path);
/// What attempts_of() reads.
std::string csv_of(const std::vector<Attempt>& attempts);

/// What a class has done, kept in a CSV file (RFC 4180) that is read when it is there and written whole, under a
/// temporary name first, with each attempt.
class ClassSheet {
  public:
    /// Without a path nothing is written. InputError for a file that is none of ours (line, column, found, allowed), and for a
    /// place that cannot be written.
    explicit ClassSheet(std::string path);

    const std::vector<Attempt>& attempts() const { return attempts_; }
    /// Of a trainee at a drill, so far.
    int count(std::string_view trainee, std::string_view drill) const;
    /// The best one; null when there is none.
    const Attempt* best(std::string_view trainee, std::string_view drill) const;
    /// Numbers it, keeps it, writes the file. InputError when that cannot be written; it is kept all the same.
    void add(Attempt attempt);
    std::string csv() const;

  private:
    std::string path_;
    std::vector<Attempt> attempts_;
};

/// A name a spreadsheet takes for nothing but a name: 1 to 60 bytes of UTF-8, a letter first; letters, digits, space, dot,
/// hyphen, apostrophe.
bool good_name(std::string_view name);
inline constexpr const char* name_form =
    "1 to 60 letters, digits, spaces, dots, hyphens and apostrophes, a letter first";

}  // namespace ampturn::sim::course
