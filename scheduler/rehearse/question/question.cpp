#include "scheduler/rehearse/question/question.hpp"
#include "scheduler/base/number_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace ampturn::rehearse::question {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

/// The variances with only the data of one frequency, or all others; the rest is not there.
VectorXd only(const QuestionData& data, const VectorXd& variance, std::size_t frequency_index, bool others) {
    VectorXd out = variance;
    for (std::size_t i = 0; i < data.readings.size(); ++i)
        if ((data.readings[i].frequency_index == frequency_index) == others)
            out.segment(4 * static_cast<Index>(i), 4).setConstant(std::numeric_limits<double>::infinity());
    return out;
}

}  // namespace

std::vector<station::FrequencyInformation> frequency_information(const QuestionData& data,
                                                                 const DataNoise& noise,
                                                                 const std::vector<double>& frequencies_hz) {
    const VectorXd variance = noise.variance + noise.natural_variance;
    const auto nats = [&](const VectorXd& v) {
        return information_nats(data.sought, separation(data.sought, v).distance2);
    };
    const double whole = nats(variance);
    std::vector<station::FrequencyInformation> out;
    for (std::size_t f = 0; f < frequencies_hz.size(); ++f) {
        station::FrequencyInformation info{};
        info.frequency_hz = frequencies_hz[f];
        bool any = false;
        for (const SentReading& reading : data.readings)
            if (reading.frequency_index == f) {
                info.energy_wh += reading.energy_wh;
                any = true;
            }
        if (any) {
            info.information_nats = information_alone_nats(data.sought, only(data, variance, f, false));
            info.information_loss_nats = std::max(0.0, whole - nats(only(data, variance, f, true)));
            info.nats_per_wh = info.energy_wh > 0 ? info.information_loss_nats / info.energy_wh : 0;
        }
        out.push_back(info);
    }
    return out;
}

station::Answer answer_question(const plan::Plan& plan, const setup::SweepSetup& setup,
                                const day::DayResult& day,
                                const std::vector<reading::FrequencyResponse>& responses,
                                const OddsOptions& options) {
    station::Answer answer{};
    if (!plan.question) return answer;
    const plan::Question& question = *plan.question;
    answer.asked = true;
    answer.text = question.text;
    answer.two_grounds = question.kind == plan::QuestionKind::two_grounds;
    answer.confidence = question.confidence;
    answer.runs = options.runs;
    const QuestionData data = question_data(plan, setup, readings_of(plan, day), responses);
    for (const int s : data.stations)
        answer.stations.push_back(plan.stations[static_cast<std::size_t>(s)].name);
    if (data.readings.empty()) {
        answer.sentence = "No station that the question asks of was sent both loops: the data tell nothing.";
        return answer;
    }
    const DataNoise noise = data.data_noise(plan);
    answer.frequencies = frequency_information(data, noise, day.frequencies_hz);
    const auto best = std::max_element(
        answer.frequencies.begin(), answer.frequencies.end(),
        [](const auto& a, const auto& b) { return a.information_loss_nats < b.information_loss_nats; });
    const Odds odds = question::odds(data.sought, noise, question.confidence, options);
    answer.probability = odds.probability_confident;
    answer.probability_right = odds.probability_right;
    answer.distance = std::sqrt(separation(data.sought, noise.variance + noise.natural_variance).distance2);
    if (answer.two_grounds) {
        answer.sentence = fmt::format(
            "With the data of {} stations the two grounds are told apart with {:g} % confidence in {:.0f} "
            "% of cases, and the better-fitting ground is the true one in {:.0f} %; {:g} Hz tells most.",
            data.stations.size(), 100 * question.confidence, 100 * answer.probability,
            100 * answer.probability_right, best->frequency_hz);
        return answer;
    }
    answer.depth_sd_m = question.within_m / answer.distance;
    answer.sentence = fmt::format(
        "With the data of {} stations the interface at {:.3g} m is known to {} m (one standard "
        "deviation): within {:g} m in {:.0f} % of cases, where {:g} % is asked for; {:g} Hz tells most.",
        data.stations.size(), data.depth_m, base::brief(answer.depth_sd_m, 2), question.within_m,
        100 * answer.probability_right, 100 * question.confidence, best->frequency_hz);
    return answer;
}

}  // namespace ampturn::rehearse::question
