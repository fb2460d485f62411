#include "scheduler/rehearse/question/question_data.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <tuple>
#include <utility>

#include "model/inversion/sounding_forward.hpp"
#include "scheduler/plan/listening_groups.hpp"
#include "scheduler/plan/station_own.hpp"
#include "scheduler/rehearse/station/invert.hpp"
#include "scheduler/setup/earth_of_plan.hpp"
#include "scheduler/setup/receiver_of_plan.hpp"

namespace ampturn::rehearse::question {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr Index data_of_a_reading = 4;  // ln rho and phase of xy, of yx

/// E|dZ|^2 times dwell of one element, loop by loop.
struct ElementNoise {
    double a_s, b_s;
};

/// Variances of ln rho and phase from those of Z: ln rho = 2 ln |Z|, 4 s^2/(2 |Z|^2); phase s^2/(2 |Z|^2).
void add_data(const ElementNoise& all, const ElementNoise& without, double laid_out, std::complex<double> z,
              std::vector<DatumNoise>& noise) {
    const double scale = 1 / (2 * std::norm(z));
    const DatumNoise phase{.steady = scale * laid_out + station::forward_error * station::forward_error / 4,
                           .a_s = scale * without.a_s,
                           .b_s = scale * without.b_s,
                           .natural_a_s = scale * std::max(0.0, all.a_s - without.a_s),
                           .natural_b_s = scale * std::max(0.0, all.b_s - without.b_s)};
    noise.push_back(
        {4 * phase.steady, 4 * phase.a_s, 4 * phase.b_s, 4 * phase.natural_a_s, 4 * phase.natural_b_s});
    noise.push_back(phase);
}

void add_noise(const plan::Plan& plan, const SentReading& reading, const reading::FrequencyResponse& response,
               std::vector<DatumNoise>& noise) {
    reading::ReadingInput input =
        station::predicted_reading(plan, response, reading.station_index, reading.hour, reading.a, reading.b);
    input.sensors = setup::sensor_errors_of(plan.receiver);
    input.sensors.gain_rel = 0;  // shared by all stations: with the ground's unknowns, not here
    const reading::OneSecondReadings all = reading::read_one_second_of_each(input);
    input.noise.h.natural = input.noise.e.natural = 0;
    const reading::OneSecondReadings without = reading::read_one_second_of_each(input);
    const model::ground::TensorVariance &all_a = all.a.correlated.variance,
                                        &all_b = all.b.correlated.variance,
                                        &without_a = without.a.correlated.variance,
                                        &without_b = without.b.correlated.variance;
    const model::ground::ImpedanceTensor& z = all.a.correlated.impedance;
    add_data({all_a.xy, all_b.xy}, {without_a.xy, without_b.xy}, all.sensors.xy, z.xy_ohm, noise);
    add_data({all_a.yx, all_b.yx}, {without_a.yx, without_b.yx}, all.sensors.yx, z.yx_ohm, noise);
}

/// Noise-free data over a ground, and their derivatives.
model::inversion::Response response_of(const plan::Plan& plan,
                                       const model::transmitter::TransmitterDesign& transmitter,
                                       const QuestionData& data,
                                       const std::vector<reading::FrequencyResponse>& responses,
                                       const model::ground::LayeredEarth& earth,
                                       model::inversion::Unknowns unknowns) {
    const VectorXd parameters = model::inversion::parameters_of(earth, unknowns);
    const auto count = static_cast<Index>(data.noise.size());
    model::inversion::Response whole{.value = VectorXd(count),
                                     .jacobian = MatrixXd(count, parameters.size())};
    Index at = 0;
    for (const int station : data.stations) {
        std::vector<double> frequencies_hz;
        for (const SentReading& reading : data.readings)
            if (reading.station_index == station)
                frequencies_hz.push_back(responses[reading.frequency_index].frequency_hz);
        const model::inversion::Response own = model::inversion::source_forward(
            frequencies_hz, earth, unknowns, station::dipoles_of(plan, transmitter, station))(parameters,
                                                                                              true);
        whole.value.segment(at, own.value.size()) = own.value;
        whole.jacobian.middleRows(at, own.value.size()) = own.jacobian;
        at += own.value.size();
    }
    return whole;
}

VectorXd prior_of(const plan::Plan& plan, Index resistivities, Index thicknesses) {
    VectorXd sd(resistivities + thicknesses);
    sd.head(resistivities)
        .setConstant(std::max(1e-6, plan.uncertainty.resistivity_decades * std::numbers::ln10));
    sd.tail(thicknesses).setConstant(1);  // a thickness known to a factor e: next to nothing
    return sd;
}

/// Derivatives by units of ground: layers of the same resistivity vary together, or else a layer cut in two
/// by the target would be told from a whole one by its halves drifting apart.
MatrixXd by_units(const model::ground::LayeredEarth& earth, const MatrixXd& by_layers) {
    std::vector<double> units;
    MatrixXd out = MatrixXd::Zero(by_layers.rows(), by_layers.cols());
    for (Index layer = 0; layer < by_layers.cols(); ++layer) {
        const double own = earth[static_cast<std::size_t>(layer)].resistivity_ohm_m;
        const auto at = std::find(units.begin(), units.end(), own);
        out.col(at - units.begin()) += by_layers.col(layer);
        if (at == units.end()) units.push_back(own);
    }
    return out.leftCols(static_cast<Index>(units.size()));
}

/// Z_xy is Ex over Hy, Z_yx Ey over Hx: gains of a frequency shift ln rho of xy, at all stations of a set of sensors, by twice the
/// difference of two ln sizes, phase by that of two phases; yx likewise, by sensors of its own.
std::vector<SharedError> shared_gains(const plan::Plan& plan, const std::vector<SentReading>& readings) {
    const double gain_rel = setup::sensor_errors_of(plan.receiver).gain_rel;
    const std::vector<std::size_t> sets = plan::sensor_sets_standing(plan);
    std::map<std::tuple<std::size_t, std::size_t, Index>, SharedError> by_frequency;
    const double difference = 2 * gain_rel * gain_rel;
    for (std::size_t i = 0; i < readings.size(); ++i)
        for (Index datum = 0; datum < data_of_a_reading; ++datum) {
            SharedError& shared = by_frequency[{sets[static_cast<std::size_t>(readings[i].station_index)],
                                                readings[i].frequency_index, datum}];
            shared.variance = datum % 2 == 0 ? 4 * difference : difference;
            shared.data.push_back(data_of_a_reading * static_cast<Index>(i) + datum);
        }
    std::vector<SharedError> out;
    for (auto& [key, shared] : by_frequency) out.push_back(std::move(shared));
    return out;
}

}  // namespace

std::vector<SentReading> readings_of(const plan::Plan& plan, const day::DayResult& day) {
    std::vector<SentReading> readings;
    const auto asked_of = [&](const std::vector<int>& listeners) {
        return std::count_if(listeners.begin(), listeners.end(), [&](int station) {
            return plan::asked_of(*plan.question, plan.stations[static_cast<std::size_t>(station)]);
        });
    };
    for (int s = 0; s < static_cast<int>(plan.stations.size()); ++s) {
        if (!plan::asked_of(*plan.question, plan.stations[static_cast<std::size_t>(s)])) continue;
        std::vector<reading::Transmission> a(day.frequencies_hz.size()), b(a.size());
        std::vector<double> energy_wh(a.size());
        int hour = 12;
        for (const station::SentStep& step : station::steps_sent_to(day, s)) {
            if (step.loop == model::loop::LoopSelection::a)
                a[step.frequency_index].add(step.moment_a_m2, step.dwell_s);
            if (step.loop == model::loop::LoopSelection::b)
                b[step.frequency_index].add(step.moment_a_m2, step.dwell_s);
            energy_wh[step.frequency_index] +=
                step.energy_wh / static_cast<double>(asked_of(*step.listeners));
            hour = static_cast<int>(step.start_s / 3600) % 24;
        }
        for (std::size_t f = 0; f < a.size(); ++f)
            if (a[f].sent() && b[f].sent()) readings.push_back({s, f, hour, a[f], b[f], energy_wh[f]});
    }
    return readings;
}

DataNoise QuestionData::data_noise(const plan::Plan& plan) const {
    const auto count = static_cast<Index>(noise.size());
    DataNoise out{.variance = VectorXd(count),
                  .natural_variance = VectorXd(count),
                  .natural_sd_ln = plan.uncertainty.natural_noise_db / 10 * std::numbers::ln10};
    for (Index i = 0; i < count; ++i) {
        const DatumNoise& n = noise[static_cast<std::size_t>(i)];
        const SentReading& reading = readings[static_cast<std::size_t>(i / 4)];
        out.variance[i] = n.steady + n.a_s / reading.a.dwell_s + n.b_s / reading.b.dwell_s;
        out.natural_variance[i] = n.natural_a_s / reading.a.dwell_s + n.natural_b_s / reading.b.dwell_s;
    }
    return out;
}

QuestionData question_data(const plan::Plan& plan, const setup::SweepSetup& setup,
                           std::vector<SentReading> readings,
                           const std::vector<reading::FrequencyResponse>& responses) {
    const plan::Question& question = *plan.question;
    QuestionData data{.readings = std::move(readings), .noise = {}, .stations = {}, .sought = {}};
    for (const SentReading& reading : data.readings) {
        if (data.stations.empty() || data.stations.back() != reading.station_index)
            data.stations.push_back(reading.station_index);
        add_noise(plan, reading, responses[reading.frequency_index], data.noise);
    }
    const model::ground::LayeredEarth& earth = setup.ground_of(plan::first_asked(plan));
    if (question.kind == plan::QuestionKind::two_grounds) {
        const model::ground::LayeredEarth other =
            setup::earth_of(plan, question.with_target, "question.with_target");
        const auto unknowns = model::inversion::Unknowns::resistivities;
        const model::inversion::Response r0 =
            response_of(plan, setup.transmitter.design, data, responses, earth, unknowns);
        const model::inversion::Response r1 =
            response_of(plan, setup.transmitter.design, data, responses, other, unknowns);
        TwoGrounds grounds{.data_0 = r0.value,
                           .data_1 = r1.value,
                           .jacobian_0 = by_units(earth, r0.jacobian),
                           .jacobian_1 = by_units(other, r1.jacobian),
                           .prior_sd_0 = {},
                           .prior_sd_1 = {}};
        grounds.prior_sd_0 = prior_of(plan, grounds.jacobian_0.cols(), 0);
        grounds.prior_sd_1 = prior_of(plan, grounds.jacobian_1.cols(), 0);
        grounds.shared = shared_gains(plan, data.readings);
        data.sought = std::move(grounds);
        return data;
    }
    const auto unknowns = model::inversion::Unknowns::resistivities_and_thicknesses;
    const auto count = static_cast<Index>(earth.size());
    DepthSought depth{
        .jacobian = response_of(plan, setup.transmitter.design, data, responses, earth, unknowns).jacobian,
        .prior_sd = prior_of(plan, count, count - 1),
        .slope = VectorXd::Zero(2 * count - 1),
        .within_m = question.within_m};
    for (Index i = 0; i < question.interface; ++i) {
        depth.slope[count + i] = earth[static_cast<std::size_t>(i)].thickness_m;
        data.depth_m += depth.slope[count + i];
    }
    depth.shared = shared_gains(plan, data.readings);
    data.sought = std::move(depth);
    return data;
}

}  // namespace ampturn::rehearse::question
