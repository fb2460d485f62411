#pragma once

#include <string>
#include <vector>

#include "scheduler/base/output_file.hpp"
#include "scheduler/plan/plan.hpp"
#include "scheduler/survey_days/chances.hpp"
#include "scheduler/survey_days/survey.hpp"

/// The survey for people and programs; text in survey_text.cpp, files in survey_files.cpp, page in survey_page.cpp.
namespace ampturn::survey_days {

struct SurveyOutput {
    const plan::Plan& plan;
    const Survey& survey;
    const Chances* chances = nullptr;
};

/// What the reader should know first, most important first.
std::vector<std::string> findings_of(const SurveyOutput& output);
/// What can hurt someone who charges batteries; none when nothing is charged.
std::vector<std::string> charging_cautions(const plan::Plan& plan);
/// How sure it is, a sentence a line, with the count of draws.
std::vector<std::string> chance_lines(const Chances& chances, const std::vector<SurveyedDay>& days);

/// For a terminal; `summary`: findings and chances alone.
std::string survey_text(const SurveyOutput& output, bool summary);
/// days.json ("schema": "ampturn.days", "schema_version": 1; seconds after local midnight of each date, fractions of full
/// charge), days.csv (a row a day), stations.csv (a row a station), nights.csv (a row a set and night), days.html and, with
/// draws, chances.csv.
std::vector<base::NamedText> survey_files(const SurveyOutput& output);
std::string survey_page(const SurveyOutput& output);

/// Names of stations with commas between; those beyond `most` are counted.
std::string names_text(const plan::Plan& plan, const std::vector<int>& stations, std::size_t most);
/// Of a day's own files: its date.
std::string folder_of(const SurveyedDay& day);
/// The night's charge suffices for the day after: no sweep of it was lost to a flat battery.
bool next_need_met(const Survey& survey, std::size_t day);
double supply_wh(const SurveyedDay& day);
/// The first charge that is not full is rounded down: "72 %", "100 %" only when full.
std::string percent_text(double state_of_charge);

}  // namespace ampturn::survey_days
