#include <cmath>
#include <limits>

#include "model/transmitter/battery.hpp"
#include "scheduler/reference/battery_run.hpp"
#include "scheduler/reference/reference_case_runners.hpp"

namespace ampturn::reference {

namespace {

using nlohmann::json;

CaseOutputs peukert(const json& in, const json&) {
    const double current = in.at("current_A").get<double>();
    const double time_h =
        peukert_time_h(in.at("capacity_Ah").get<double>(), in.at("rated_hours_h").get<double>(), current,
                       in.at("exponent").get<double>());
    return {json{{"time_h", time_h}, {"delivered_Ah", current * time_h}}, {}};
}

model::transmitter::KineticWells wells_of(const json& in, const char* capacity_key = "qmax_Ah") {
    return {in.at(capacity_key).get<double>(), in.at("c").get<double>(), in.at("k_per_h").get<double>()};
}

CaseOutputs kinetic_constant_current(const json& in, const json&) {
    const model::transmitter::KineticWells w = wells_of(in);
    const double current = in.at("current_A").get<double>();
    const double time_s = in.at("time_h").get<double>() * 3600;
    const model::transmitter::BatteryCharge start =
        model::transmitter::charge_at_soc(w, number_or(in, "initial_soc", 1));
    const model::transmitter::BatteryCharge then =
        model::transmitter::after_constant_current(w, start, current, time_s);
    const auto empty_s = time_to_empty_s(w, start, current);
    json out{{"q1_Ah", then.available_ah},
             {"q2_Ah", then.bound_ah},
             {"soc_available", model::transmitter::soc_available(w, then)},
             {"soc_total", model::transmitter::soc_total(w, then)},
             {"time_to_empty_h", nullptr},
             {"delivered_at_empty_Ah", nullptr},
             {"bound_charge_left_Ah", nullptr},
             {"max_current_for_that_time_A", current_to_empty_a(w, start, time_s)}};
    if (empty_s) {
        out["time_to_empty_h"] = *empty_s / 3600;
        out["delivered_at_empty_Ah"] = current * *empty_s / 3600;
        out["bound_charge_left_Ah"] =
            model::transmitter::after_constant_current(w, start, current, *empty_s).bound_ah;
    }
    return {out, {}};
}

CaseOutputs kinetic_pulsed(const json& in, const json&) {
    const model::transmitter::KineticWells w = wells_of(in);
    const double pulse_a = in.at("pulse_A").get<double>();
    const double rest_a = number_or(in, "rest_current_A", 0);
    const double pulse_s = in.at("pulse_h").get<double>() * 3600;
    const double rest_s = in.at("rest_h").get<double>() * 3600;
    const model::transmitter::BatteryCharge full =
        model::transmitter::charge_at_soc(w, number_or(in, "initial_soc", 1));
    model::transmitter::BatteryCharge q = full;
    double time_s = 0, delivered_ah = 0;
    int pulses = 0;
    json trace = json::array();
    json out{{"empty_time_h", nullptr}, {"q1_recovered_after_1h_rest_Ah", nullptr}};
    constexpr int most_pulses = 100000;
    for (int part = 0; part < 2 * most_pulses; ++part) {
        const bool pulse = part % 2 == 0;
        const double current = pulse ? pulse_a : rest_a;
        const double span = pulse ? pulse_s : rest_s;
        const auto empty = time_to_empty_s(w, q, current);
        const bool ends = empty && *empty <= span;
        const double moved = ends ? *empty : span;
        q = model::transmitter::after_constant_current(w, q, current, moved);
        time_s += moved;
        delivered_ah += current * moved / 3600;
        if (ends) q.available_ah = 0;
        trace.push_back({{"time_h", time_s / 3600},
                         {"q1_Ah", q.available_ah},
                         {"q2_Ah", q.bound_ah},
                         {"event", ends ? "empty" : (pulse ? "end of pulse" : "end of rest")}});
        if (ends) {
            out["empty_time_h"] = time_s / 3600;
            out["q1_recovered_after_1h_rest_Ah"] =
                model::transmitter::after_constant_current(w, q, 0, 3600).available_ah;
            break;
        }
        if (pulse) ++pulses;
    }
    out["pulses_completed"] = pulses;
    out["delivered_Ah"] = delivered_ah;
    const auto continuous = time_to_empty_s(w, full, pulse_a);
    out["continuous_pulse_current_time_to_empty_h"] = continuous ? json(*continuous / 3600) : json(nullptr);
    out["trace"] = trace;
    return {out, {{"trace.q1_Ah", w.capacity_ah}}};
}

CaseOutputs ieee485_temperature(const json& in, const json&) {
    const double factor = model::transmitter::ieee485_factor(in.at("temperature_C").get<double>()).factor;
    return {
        json{{"factor", factor}, {"usable_capacity_Ah", in.at("capacity_at_25C_Ah").get<double>() / factor}},
        {}};
}

model::transmitter::BatteryBank bank_of(const json& model) {
    model::transmitter::BatteryBank bank;
    model::transmitter::BatteryBlock& b = bank.block;
    b.cells = whole_input(model, "cells");
    b.ocv_soc = model.at("ocv_soc").get<std::vector<double>>();
    b.ocv_v_per_cell = model.at("ocv_V_per_cell").get<std::vector<double>>();
    b.r25_ohm_per_cell = model.at("r25_mohm_per_cell").get<double>() / 1000;
    b.r_soc_coeff = model.at("r_soc_coeff").get<double>();
    b.r_temp_per_k = model.at("r_temp_per_K").get<double>();
    b.cutoff_v_per_cell = model.at("vcut_V_per_cell").get<double>();
    b.ieee485_capacity = false;
    return bank;
}

CaseOutputs terminal_voltage(const json& in, const json&) {
    const model::transmitter::BatterySource s = model::transmitter::battery_source(
        bank_of(in.at("model")), in.at("soc").get<double>(), in.at("temperature_C").get<double>());
    const std::optional<double> current =
        in.contains("power_W") && !in.at("power_W").is_null()
            ? model::transmitter::constant_power_current_a(s, in.at("power_W").get<double>())
            : std::optional(in.at("current_A").get<double>());
    json out{{"ocv_V", s.ocv_v},       {"r_int_ohm", s.resistance_ohm}, {"current_A", nullptr},
             {"terminal_V", nullptr},  {"max_power_W", max_power_w(s)}, {"cutoff_V", s.cutoff_v},
             {"below_cutoff", nullptr}};
    if (current) {
        const double v = s.ocv_v - s.resistance_ohm * *current;
        out["current_A"] = *current;
        out["terminal_V"] = v;
        out["below_cutoff"] = v < s.cutoff_v;
    }
    return {out, {}};
}

const char* reason_text(CutoffReason reason) {
    switch (reason) {
        case CutoffReason::voltage:
            return "voltage";
        case CutoffReason::empty:
            return "available well empty";
        case CutoffReason::power:
            return "power not deliverable";
    }
    return "?";
}

class DutyDay {
  public:
    explicit DutyDay(const json& in)
        : bank_(bank_of(in.at("model"))), temperature_c_(in.at("temperature_C").get<double>()) {
        model::transmitter::BatteryBlock& b = bank_.block;
        b.capacity_25c_ah = in.at("qmax_at_25C_Ah").get<double>();
        b.available_fraction = in.at("c").get<double>();
        b.rate_per_h = in.at("k_per_h").get<double>();
        b.ieee485_capacity = in.value("ieee485_capacity_correction", false);
        const std::string soc = in.at("soc_used_for_ocv").get<std::string>();
        if (soc != "available" && soc != "total") unknown_word("soc_used_for_ocv", soc, "available or total");
        b.soc_for_voltage = soc == "available" ? model::transmitter::SocForVoltage::available
                                               : model::transmitter::SocForVoltage::total;
        const std::string kind = in.at("load_kind").get<std::string>();
        if (kind != "constant_current_A" && kind != "constant_power_W")
            unknown_word("load_kind", kind, "constant_current_A or constant_power_W");
        power_ = kind == "constant_power_W";
        wells_ = model::transmitter::wells(bank_, temperature_c_);
        charge_ = model::transmitter::charge_at_soc(wells_, number_or(in, "initial_soc", 1));
    }

    // False once the battery has cut off.
    bool run(double value, double span_s) {
        BatteryLoad load;
        (power_ ? load.power_w : load.current_a) = value;
        const BatteryRun run = run_battery(bank_, temperature_c_, charge_, load, span_s);
        charge_ = run.charge;
        time_s_ += run.elapsed_s;
        cutoff_ = run.cutoff;
        return !cutoff_;
    }
    json row(int sweep, const char* event, double value) const {
        const double soc = model::transmitter::soc_for_voltage(bank_, wells_, charge_);
        const model::transmitter::BatterySource s =
            model::transmitter::battery_source(bank_, soc, temperature_c_);
        const double current =
            power_ ? model::transmitter::constant_power_current_a(s, value).value_or(0) : value;
        return {{"time_s", time_s_},
                {"sweep", sweep},
                {"event", event},
                {"load", value},
                {"soc_for_ocv", soc},
                {"soc_total", model::transmitter::soc_total(wells_, charge_)},
                {"terminal_V_under_load", s.ocv_v - s.resistance_ohm * current},
                {"current_A", current}};
    }
    double time_s() const { return time_s_; }
    double usable_ah() const { return wells_.capacity_ah; }
    const model::transmitter::BatteryCharge& charge() const { return charge_; }
    const char* reason() const { return reason_text(*cutoff_); }

  private:
    model::transmitter::BatteryBank bank_;
    double temperature_c_;
    bool power_ = false;
    model::transmitter::KineticWells wells_{};
    model::transmitter::BatteryCharge charge_{};
    double time_s_ = 0;
    std::optional<CutoffReason> cutoff_;
};

CaseOutputs day_duty_cycle(const json& in, const json&) {
    DutyDay day(in);
    const auto loads = in.at("load_per_frequency").get<std::vector<double>>();
    const auto& frequencies = in.at("frequencies_Hz");
    same_length(in, "load_per_frequency", "frequencies_Hz");
    const double dwell_s = in.at("dwell_s").get<double>();
    const double gap_s = in.at("gap_s").get<double>();
    const double gap = in.at("gap_value").get<double>();
    const double rest_s = in.at("rest_s").get<double>();
    const double rest = in.at("rest_value").get<double>();
    json trace = json::array();
    json out{{"cutoff_time_s", nullptr},
             {"cutoff_reason", nullptr},
             {"cutoff_sweep", nullptr},
             {"cutoff_frequency_Hz", nullptr}};
    const auto cut = [&](int sweep, const json& frequency) {
        out["cutoff_time_s"] = day.time_s();
        out["cutoff_reason"] = day.reason();
        out["cutoff_sweep"] = sweep;
        out["cutoff_frequency_Hz"] = frequency;
    };
    const int sweeps = whole_input(in, "sweeps");
    for (int sweep = 1; sweep <= sweeps && out["cutoff_time_s"].is_null(); ++sweep) {
        for (std::size_t i = 0; i < loads.size(); ++i) {
            if (!day.run(loads[i], dwell_s)) {
                cut(sweep, frequencies[i]);
                break;
            }
            if (i == 0) trace.push_back(day.row(sweep, "end of first dwell", loads[i]));
            if (i + 1 == loads.size()) trace.push_back(day.row(sweep, "end of last dwell", loads[i]));
            if (gap_s > 0 && !day.run(gap, gap_s)) {
                cut(sweep, nullptr);
                break;
            }
        }
        if (!out["cutoff_time_s"].is_null()) break;
        if (rest_s > 0 && !day.run(rest, rest_s)) {
            cut(sweep, nullptr);
            break;
        }
        trace.push_back(day.row(sweep, "end of rest", rest));
    }
    out["usable_qmax_Ah"] = day.usable_ah();
    out["final_q1_Ah"] = day.charge().available_ah;
    out["final_q2_Ah"] = day.charge().bound_ah;
    out["trace"] = trace;
    // The well is empty to within the event's time tolerance, 1e-9 of the capacity.
    return {out, {{"final_q1_Ah", 1e3 * day.usable_ah()}}};
}

}  // namespace

void add_battery_runners(CaseRunners& runners) {
    runners["peukert"] = {.compute = peukert};
    runners["kibam_constant_current"] = {.compute = kinetic_constant_current};
    runners["kibam_pulsed"] = {.compute = kinetic_pulsed};
    runners["ieee485_temperature"] = {.compute = ieee485_temperature};
    runners["terminal_voltage"] = {.compute = terminal_voltage};
    runners["day_duty_cycle"] = {
        .compute = day_duty_cycle,
        .tolerance = {.relative = 1e-5},
        .exceptions = {
            {.start = "", .end = "cutoff_time_s", .tolerance = {.relative = 1e-4, .absolute = 1}}}};
}

}  // namespace ampturn::reference
