#include "scheduler/rehearse/rehearsal_json.hpp"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "scheduler/base/json.hpp"
#include "scheduler/base/version.hpp"

namespace ampturn::rehearse {
namespace {

using Json = nlohmann::ordered_json;
using base::json_number;

template <class List, class Convert>
Json array(const List& list, Convert convert) {
    Json result = Json::array();
    for (const auto& item : list) result.push_back(convert(item));
    return result;
}

Json bars_json(const station::Bars& b) {
    return {{"resistivity_percent", json_number(b.resistivity_percent)},
            {"phase_deg", json_number(b.phase_deg)}};
}

Json point_json(const station::CurvePoint& p) {
    return {{"resistivity_ohm_m", json_number(p.resistivity_ohm_m)},
            {"phase_deg", json_number(p.phase_deg)},
            {"impedance_re_ohm", json_number(p.impedance_ohm.real())},
            {"impedance_im_ohm", json_number(p.impedance_ohm.imag())},
            {"true_resistivity_ohm_m", json_number(p.true_resistivity_ohm_m)},
            {"true_phase_deg", json_number(p.true_phase_deg)},
            {"sd_jackknife", bars_json(p.jackknife)},
            {"sd_sensors", bars_json(p.sensors)},
            {"sd_with_sensors", bars_json(station::with_sensors(p.jackknife, p.sensors))},
            {"sd_planned", bars_json(p.planned)},
            {"sd_planned_natural_uncorrelated", bars_json(p.planned_upper)},
            {"coherence_squared", json_number(p.coherence2)}};
}

Json natural_json(const station::NaturalPoint& n) {
    return {{"centre_hz", json_number(n.centre_hz)},
            {"resistivity_h_reference_ohm_m", json_number(n.resistivity_low_ohm_m)},
            {"resistivity_e_reference_ohm_m", json_number(n.resistivity_high_ohm_m)},
            {"phase_deg", json_number(n.phase_deg)},
            {"sd_jackknife", bars_json(n.jackknife)},
            {"coherence_squared", json_number(n.coherence2)},
            {"true_resistivity_ohm_m", json_number(n.true_resistivity_ohm_m)},
            {"true_phase_deg", json_number(n.true_phase_deg)}};
}

Json measured_json(const station::StationFrequencyResult& m) {
    Json json{{"station_index", m.station_index},
              {"frequency_hz", json_number(m.frequency_hz)},
              {"mains_clash_order", m.mains_clash_order},
              {"measured", m.measured},
              {"why_not", m.why_not}};
    if (m.measured) {
        json["xy"] = point_json(m.xy);
        json["yx"] = point_json(m.yx);
        json["h_condition_number"] = json_number(m.h_condition_number);
        json["mean_weight"] = json_number(m.weight);
    }
    json["plane_resistivity_ohm_m"] = json_number(m.plane_resistivity_ohm_m);
    json["plane_phase_deg"] = json_number(m.plane_phase_deg);
    json["energy_wh"] = json_number(m.energy_wh);
    json["sample_rate_hz"] = json_number(m.sample_rate_hz);
    json["record_s"] = json_number(m.record_s);
    json["records_a"] = m.records_a;
    json["records_b"] = m.records_b;
    json["clipped_samples"] = m.clipped_samples;
    json["natural"] = array(m.natural, natural_json);
    return json;
}

Json layer_json(const station::SectionLayer& l) {
    return {{"top_m", json_number(l.top_m)},
            {"resistivity_ohm_m", json_number(l.resistivity_ohm_m)},
            {"sd_decades", json_number(l.sd_decades)}};
}

Json trial_json(const model::inversion::LayerTrial& t) {
    return {
        {"layers", t.layers}, {"misfit_rms", json_number(t.misfit_rms)}, {"bic", json_number(t.criterion)}};
}

Json section_json(const station::Section& s) {
    return {{"name", s.name},
            {"source_aware", s.source_aware},
            {"smooth", s.smooth},
            {"misfit_rms", json_number(s.misfit_rms)},
            {"reached_target", s.reached_target},
            {"iterations", s.iterations},
            {"depth_of_investigation_m", s.smooth ? json_number(s.depth_of_investigation_m) : Json(nullptr)},
            {"parameters_resolved", json_number(s.parameters_resolved)},
            {"layers", array(s.layers, layer_json)},
            {"layer_counts_tried", array(s.layer_trials, trial_json)},
            {"interface_m", array(s.interface_m, json_number)},
            {"interface_sd_m", array(s.interface_sd_m, json_number)},
            {"fit_resistivity_ohm_m", array(s.fit_resistivity_ohm_m, json_number)},
            {"fit_phase_deg", array(s.fit_phase_deg, json_number)}};
}

Json station_json(const station::StationResult& s) {
    Json out{
        {"name", s.name},
        {"offset_m", json_number(s.offset_m)},
        {"bearing_deg", json_number(s.bearing_deg)},
        {"clock_error_ppm", json_number(s.clock_error_ppm)},
        {"clock_error_found_ppm", json_number(s.clock_error_found_ppm)},
        {"note", s.note},
        {"inverted_frequencies_hz", array(s.inverted_frequencies_hz, json_number)},
        {"sections", array(s.sections, section_json)},
        {"spectrum",
         {{"frequency_hz", array(s.spectrum, [](const auto& p) { return json_number(p.frequency_hz); })},
          {"e_v_per_m_rthz", array(s.spectrum, [](const auto& p) { return json_number(p.e_v_per_m_rthz); })},
          {"h_a_per_m_rthz", array(s.spectrum, [](const auto& p) { return json_number(p.h_a_per_m_rthz); })},
          {"is_line", array(s.spectrum, [](const auto& p) { return p.line; })}}}};
    if (!s.truth.empty()) out["truth"] = array(s.truth, layer_json);
    return out;
}

Json information_json(const station::FrequencyInformation& f) {
    return {{"frequency_hz", json_number(f.frequency_hz)},
            {"information_alone_nats", json_number(f.information_nats)},
            {"lost_without_nats", json_number(f.information_loss_nats)},
            {"energy_wh", json_number(f.energy_wh)},
            {"lost_without_nats_per_wh", json_number(f.nats_per_wh)}};
}

Json answer_json(const station::Answer& a) {
    if (!a.asked) return nullptr;
    return {{"text", a.text},
            {"sentence", a.sentence},
            {"kind", a.two_grounds ? "two_grounds" : "depth"},
            {"confidence", json_number(a.confidence)},
            {"probability", json_number(a.probability)},
            {"probability_right", json_number(a.probability_right)},
            {"distance_sd", json_number(a.distance)},
            {"depth_sd_m", a.two_grounds ? Json(nullptr) : json_number(a.depth_sd_m)},
            {"runs", a.runs},
            {"stations", a.stations},
            {"frequencies", array(a.frequencies, information_json)}};
}

}  // namespace

nlohmann::ordered_json rehearsal_json(const station::RehearsalResult& r) {
    return {{"schema", "ampturn.rehearsal"},
            {"schema_version", 1},
            {"program", fmt::format("ampturn {} ({})", base::version(), base::git_hash())},
            {"synthetic", true},
            {"invented_scenario", r.invented},
            {"plan", r.plan_path},
            {"plan_crc32", r.plan_crc32},
            {"survey", r.survey_name},
            {"seed", r.seed},
            {"answer", answer_json(r.answer)},
            {"agreement",
             {{"elements", r.agreement.elements},
              {"scatter_over_planned", json_number(r.agreement.scatter_over_planned)},
              {"jackknife_over_planned", json_number(r.agreement.jackknife_over_planned)},
              {"natural_uncorrelated_over_planned", json_number(r.agreement.planned_upper_over_planned)},
              {"inside_one_sd", json_number(r.agreement.inside_one_sd)},
              {"inside_two_sd", json_number(r.agreement.inside_two_sd)}}},
            {"notes", r.notes},
            {"truth", array(r.truth, layer_json)},
            {"frequencies_hz", array(r.frequencies_hz, json_number)},
            {"stations", array(r.stations, station_json)},
            {"measured", array(r.measured, measured_json)}};
}

std::string rehearsal_json_text(const station::RehearsalResult& result) {
    return base::json_text(rehearsal_json(result), 1);
}

}  // namespace ampturn::rehearse
