#include "scheduler/weigh/driven.hpp"

#include <algorithm>
#include <cmath>

#include "model/transmitter/operating_point.hpp"
#include "scheduler/setup/keep_out.hpp"
#include "scheduler/setup/transmitter_of_plan.hpp"
#include "scheduler/sweep/quantize.hpp"

namespace ampturn::weigh {

namespace {

using model::transmitter::Conditions;
using model::transmitter::DriveRequest;
using model::transmitter::OperatingPoint;

class Driven {
  public:
    Driven(const plan::Plan& plan, const std::vector<JoinedCapacitor>& joined,
           std::optional<double> insulation_v_rms)
        : joined_count_(static_cast<int>(joined.size())),
          insulation_v_rms_(insulation_v_rms),
          transmitter_(setup::transmitter_of(with_capacitors(plan, joined))),
          at_(transmitter::start_conditions(plan, transmitter_)),
          air_c_(plan.day.air_temperature_c(plan.day.start_s)) {
        // As the keep-out has it: a full, rested battery.
        full_ = at_;
        full_.battery = model::transmitter::battery_source(transmitter_.design.battery, 1, air_c_);
    }

    StepCells at(const plan::Step& step, std::uint64_t clock_hz) const {
        const double frequency_hz = sweep::nearest_drive(step.frequency_hz, clock_hz).frequency_hz;
        const std::vector<model::loop::LoopTap>& taps = transmitter_.taps(step.loop);
        std::vector<double> heat_rms_a;
        for (const model::loop::LoopTap& tap : taps)
            heat_rms_a.push_back(
                model::transmitter::heat_limited_rms_a(transmitter_, tap, frequency_hz, air_c_, 1));
        StepCells out;
        for (int capacitor = -1; capacitor < joined_count_; ++capacitor) {
            DrivenStep best;
            for (std::size_t tap = 0; tap < taps.size(); ++tap) {
                const DrivenStep driven = on_tap({.frequency_hz = frequency_hz,
                                                  .heat_rms_a = heat_rms_a[tap],
                                                  .loop = step.loop,
                                                  .tap_index = static_cast<int>(tap),
                                                  .capacitor_index = capacitor},
                                                 out.insulation_refused);
                if (driven.better_than(best)) best = driven;
            }
            out.with.push_back(best);
        }
        return out;
    }

  private:
    static plan::Plan with_capacitors(plan::Plan plan, const std::vector<JoinedCapacitor>& joined) {
        for (const JoinedCapacitor& capacitor : joined) add_capacitor(capacitor, plan);
        return plan;
    }

    // No current where the battery cannot deliver, heat leaves nothing or the insulation does not stand it.
    DrivenStep on_tap(DriveRequest request, bool& insulation_refused) const {
        DrivenStep out{.turns = model::transmitter::selected_tap(transmitter_, request).turns,
                       .joined = request.capacitor_index};
        const OperatingPoint most =
            model::transmitter::solve_operating_point(transmitter_, at_, request, false);
        out.limited_by = most.limited_by;
        if (!most.solved) return out;
        // What the unit's table can hold, down.
        request.fundamental_peak_a = std::floor(1000 * most.current.fundamental_peak_a) / 1000;
        request.heat_rms_a = model::transmitter::no_limit;
        if (!(request.fundamental_peak_a > 0)) return out;
        const OperatingPoint held =
            model::transmitter::solve_operating_point(transmitter_, at_, request, false);
        if (!held.solved) return out;
        if (insulation_v_rms_ && volts_to_ground_rms(request) > *insulation_v_rms_) {
            insulation_refused = true;
            return out;
        }
        out.current_a_peak = request.fundamental_peak_a;
        out.moment_a_m2 = held.moment_peak_a_m2;
        out.battery_w = held.power.battery_w;
        return out;
    }

    // As the keep-out has it.
    double volts_to_ground_rms(const DriveRequest& request) const {
        const OperatingPoint point = model::transmitter::solve_operating_point(transmitter_, full_, request);
        double squares = 0;
        for (const double v : setup::bundle_volts_rms(
                 transmitter_.taps(request.loop), model::transmitter::selected_tap(transmitter_, request),
                 air_c_, point.current, point.bus_v, request.frequency_hz))
            squares += v * v;
        return std::sqrt(squares);
    }

    int joined_count_;
    std::optional<double> insulation_v_rms_;
    model::transmitter::Transmitter transmitter_;
    Conditions at_, full_;
    double air_c_;
};

}  // namespace

std::vector<StepCells> driven_steps(const plan::Plan& changed, const std::vector<JoinedCapacitor>& joined,
                                    std::optional<double> insulation_v_rms) {
    const Driven driven(changed, joined, insulation_v_rms);
    std::vector<StepCells> out;
    for (const plan::Step& step : changed.sweep.steps)
        out.push_back(driven.at(step, changed.driver.clock_hz));
    return out;
}

std::size_t points_of(const plan::Plan& changed, std::size_t joined_count) {
    const std::size_t taps =
        changed.loop_a.taps.size() + 1;  // those of loop B are as many where they are chosen
    return changed.sweep.steps.size() * taps * (joined_count + 1);
}

}  // namespace ampturn::weigh
