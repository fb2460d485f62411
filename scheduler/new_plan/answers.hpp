#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <vector>

#include "scheduler/plan/file/config_schema.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::new_plan {

/// What a person is asked for a first plan. Initialisers are the defaults, all common practice without a source; what an
/// answer means and may be: questions(). Stations stand on a straight line that runs through the site.
struct Answers {
    std::string survey_name = "Unnamed survey";
    bool invented = false;
    std::chrono::year_month_day date{};  // default: not given, !date.ok()
    double utc_offset_h = 0;
    std::vector<double> latitude_longitude_deg;  // of the site, two; empty: local coordinates
    int station_count = 5;
    double station_spacing_m = 100;
    double line_azimuth_deg = 0;
    double first_offset_m = 400;
    std::vector<double> resistivity_ohm_m{100};
    std::vector<double> thickness_m;
    double loop_side_m = 6;
    int loop_turns = 3;
    double current_a_peak = 10;
    plan::Chemistry battery_chemistry = plan::Chemistry::lifepo4;
    double battery_capacity_ah = 20;
    std::optional<int> battery_cells;  // in series in a set; empty: those of 24 V nominal
    int battery_sets = 1;
    double frequency_low_hz = 500;
    double frequency_high_hz = 20'000;
    int frequency_count = 8;
    double dwell_s = 20;
    double mains_hz = 50;
    double dipole_m = 20;
    double base_to_site_min = 20;

    int cells() const;
};

/// The questions in the order they are asked; names are those of the fields.
const plan::file::Section<Answers>& questions();

/// Answers as they came: a table of values that know which file, flag or line of the terminal they are from.
class GivenAnswers {
  public:
    /// Nothing answered yet.
    GivenAnswers();
    /// From a TOML file whose keys are the names of the questions. InputError when it is no TOML.
    GivenAnswers(const std::string& text, const std::string& path);

    /// One answer as a person writes it: texts without quotes, lists without brackets. It replaces an earlier one.
    void give(const std::string& question, const std::string& text, const std::string& given_by);
    void take_back(const std::string& question);
    bool given(const std::string& question) const;

    /// All that is wrong, with the question as key; empty when the answers make a plan.
    std::vector<base::InputProblem> problems() const;
    /// InputError with problems() when there are any.
    Answers read() const;

  private:
    Answers read_into(plan::file::Problems& problems) const;

    std::string path_;
    plan::file::Value root_;
};

}  // namespace ampturn::new_plan
