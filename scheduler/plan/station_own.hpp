#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// What holds at a station: its own where it has it, else the survey's. Whoever wants the ground, the sensors or the noise of a
/// station asks here and nowhere else. A station without anything of its own (Station{}) stands for anywhere in the survey.

const Ground& ground_of(const Plan& plan, const Station& station);

/// That ground's table, for people: "[earth]", "[[ground]] 2".
std::string ground_table_of(const Station& station);

/// The receiver as it is set up there: the survey's with the station's sensors and contact resistance.
Receiver receiver_of(const Plan& plan, const Station& station);

/// Own density of the natural field there; null where the model holds.
const NaturalSpectrum* natural_spectrum_of(const Plan& plan, const Station& station);
/// Its file as the plan gives it, and the key it is given by: "noise.spectrum_csv", "station[2].spectrum_csv".
const std::string& spectrum_csv_of(const Plan& plan, const Station& station);
std::string spectrum_key_of(const Plan& plan, const Station& station);

/// Azimuth of the stronger horizontal part of the natural magnetic field there, from true north; empty: from no side more than
/// from others.
std::optional<double> natural_azimuth_deg_of(const Plan& plan, const Station& station);

/// Rms of the mains' fundamental there, nT: the station's own, else the survey's and the power lines', whose phases are not known:
/// the root of the sum of squares.
double mains_b_nt_of(const Plan& plan, const Station& station);

/// Every interferer that is heard there: the survey's, then the station's own.
std::vector<Interferer> interferers_of(const Plan& plan, const Station& station);
/// The same one by one, for where lists would cost time.
template <class Hear>
void each_interferer(const Plan& plan, const Station& station, Hear&& hear) {
    for (const Interferer& interferer : plan.noise.interferers) hear(interferer);
    for (const Interferer& interferer : station.interferers) hear(interferer);
}

/// Whether the question asks of a station.
bool asked_of(const Question& question, const Station& station);
/// The ground the question is about: that of the stations it asks of, which stand on one; and its table.
/// The plan has a question.
const Ground& question_ground(const Plan& plan);
std::string question_ground_table(const Plan& plan);
/// The first station it asks of; one that stands for the survey where its names are of no station.
const Station& first_asked(const Plan& plan);

/// Whether anything of the above may differ from the survey's.
bool differs_from_survey(const Station& station);

/// The plan of a survey that is everywhere as it is at the station.
Plan plan_as_at(const Plan& plan, const Station& station);

}  // namespace ampturn::plan
