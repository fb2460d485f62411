#include "scheduler/field_request/field_cases.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>
#include <unordered_map>
#include <utility>

#include "model/base/skin_depth.hpp"
#include "model/ground/plane_wave.hpp"
#include "scheduler/base/parallel_for.hpp"
#include "scheduler/field_request/request_parts.hpp"
#include "scheduler/field_request/written_estimates.hpp"

namespace ampturn::field_request {

namespace {

using Json = Node::Json;
using Complex = std::complex<double>;
using model::fields::FieldResult;
using model::fields::Receiver;

struct Component {
    const char* name;
    Complex model::fields::Fields::*member;
};
constexpr std::array e_components{Component{"Ex_V_per_m", &model::fields::Fields::ex_v_per_m},
                                  Component{"Ey_V_per_m", &model::fields::Fields::ey_v_per_m}};
constexpr std::array h_components{Component{"Hx_A_per_m", &model::fields::Fields::hx_a_per_m},
                                  Component{"Hy_A_per_m", &model::fields::Fields::hy_a_per_m},
                                  Component{"Hz_A_per_m", &model::fields::Fields::hz_a_per_m}};

template <class Components>
double error_rel(const Node& reference, const model::fields::Fields& f, const Components& components) {
    double size = 0, error = 0;
    for (const Component& one : components) {
        const Complex expected = reference[one.name].complex();
        size = std::max(size, std::abs(expected));
        error = std::max(error, std::abs(f.*one.member - expected));
    }
    return error / size;
}

Json pair_of(Complex z) { return Json::array({z.real(), z.imag()}); }

constexpr double default_allowed_rel = 1e-7;

std::string name_of(const Node& c) {
    return c.has("id") && c.json()["id"].is_string() ? c.json()["id"].get<std::string>() : c.path();
}

/// Keys of a reference that say how the reference was made, not what was computed here.
void drop_reference_remarks(Json& out) {
    for (const char* key : {"independent_check", "closed_form_rel_of_vector", "error_estimate_rel"})
        out.erase(key);
}

void answer_field_case(const Node& c, const FieldResult& result, const Receiver& receiver,
                       double first_layer_ohm_m, Json& out, FieldsAnswer& answer) {
    if (c.has("fields")) {
        double allowed = default_allowed_rel;
        if (c.has("error_estimate_rel_of_vector"))
            for (const char* field : {"E", "H"})
                allowed = std::max(allowed, c["error_estimate_rel_of_vector"][field].number());
        answer.comparisons.push_back({.id = name_of(c),
                                      .e_error_rel = error_rel(c["fields"], result.fields, e_components),
                                      .h_error_rel = error_rel(c["fields"], result.fields, h_components),
                                      .allowed_rel = allowed});
    }
    const double frequency_hz = c["frequency_Hz"].number();
    const WrittenEstimates written(result);
    Json fields, error_abs;
    for (const Component& one : e_components) {
        fields[one.name] = pair_of(result.fields.*one.member);
        error_abs[one.name] = written.e_v_per_m;
    }
    for (const Component& one : h_components) {
        fields[one.name] = pair_of(result.fields.*one.member);
        error_abs[one.name] = written.h_a_per_m;
    }
    drop_reference_remarks(out);
    out["fields"] = std::move(fields);
    out["error_estimate_abs"] = std::move(error_abs);
    out["error_estimate_rel_of_vector"] = {{"E", written.e_rel}, {"H", written.h_rel}};
    out["error_estimate"] = std::max(written.e_rel, written.h_rel);
    if (c.has("offset_over_skin_depth_layer1"))
        out["offset_over_skin_depth_layer1"] =
            std::hypot(receiver.x_m, receiver.y_m) / model::skin_depth_m(first_layer_ohm_m, frequency_hz);
    out["method"] = model::fields::method_text(result);
}

void answer_impedance_case(const Node& c, Json& out, FieldsAnswer& answer) {
    const model::ground::LayeredEarth earth = earth_of_node(c["model"]);
    const double frequency_hz = c["frequency_Hz"].number();
    const model::ground::Wavenumbers waves = wavenumbers_of(c["wavenumbers"]);
    Complex z;
    try {
        z = model::ground::plane_wave_impedance_ohm(earth, frequency_hz, waves);
    } catch (const model::RangeError& refused) {
        complain_of(refused, c);
    }
    if (c.has("surface_impedance_ohm")) {
        const Complex expected = c["surface_impedance_ohm"].complex();
        answer.comparisons.push_back({.id = name_of(c),
                                      .e_error_rel = std::abs(z - expected) / std::abs(expected),
                                      .h_error_rel = 0,
                                      .allowed_rel = default_allowed_rel});
    }
    drop_reference_remarks(out);
    out["surface_impedance_ohm"] = pair_of(z);
    out["apparent_resistivity_ohm_m"] = model::ground::apparent_resistivity_ohm_m(z, frequency_hz);
    out["phase_deg"] = model::ground::impedance_phase_deg(z);
    // Rounding of the recursion: every layer adds a few units in the last place.
    const double error = 1e-15 * (1 + static_cast<double>(earth.size()));
    out["error_estimate_rel"] = error;
    out["error_estimate"] = error;
    out["method"] = "recursion over layers, vertically incident plane wave";
}

/// Cases that share all but the receiver.
struct Group {
    model::ground::LayeredEarth earth;
    double frequency_hz;
    model::fields::Source source;
    model::fields::FieldOptions options;
    std::vector<Receiver> receivers;
    std::vector<FieldResult> results;
};

struct Case {
    Json* json;
    std::string path;
    std::size_t group = no_group, receiver = 0;
    static constexpr std::size_t no_group = static_cast<std::size_t>(-1);  // a plane wave's impedance
};

class CaseList {
  public:
    CaseList(Json& request, const RequestText& text) : text_(text), root_(request, "", text) {
        bool lists = false;
        for (const char* key : {"dipole_cases", "loop_cases", "impedance_cases"}) {
            if (!root_.has(key)) continue;
            lists = true;
            const Node list = root_[key];
            for (std::size_t i = 0; i < list.list_size(); ++i) add(request[key][i], list.at(i).path());
        }
        if (!lists) add(request, "");
    }

    void compute(unsigned threads) {
        constexpr std::size_t chunk = 4096;  // of receivers; a result does not depend on it
        struct Task {
            Group* group;
            std::size_t begin, count;
        };
        std::vector<Task> tasks;
        for (Group& group : groups_) {
            group.results.resize(group.receivers.size());
            for (std::size_t begin = 0; begin < group.receivers.size(); begin += chunk)
                tasks.push_back({&group, begin, std::min(chunk, group.receivers.size() - begin)});
        }
        try {
            base::parallel_for(tasks.size(), threads, [&](std::size_t i) {
                const auto& [group, begin, count] = tasks[i];
                const auto first = group->receivers.begin() + static_cast<std::ptrdiff_t>(begin);
                const model::fields::FieldJob job({group->source},
                                                  {first, first + static_cast<std::ptrdiff_t>(count)});
                job.compute(group->earth, group->frequency_hz, group->options,
                            std::span(group->results).subspan(begin, count));
            });
        } catch (const model::RangeError&) {
            complain_of_the_first();
            throw;
        }
    }

    FieldsAnswer answer() {
        FieldsAnswer answer;
        for (const Case& one : cases_) {
            const Node node(*one.json, one.path, text_);
            Json* const out = one.json;
            if (one.group == Case::no_group) {
                answer_impedance_case(node, *out, answer);
            } else {
                const Group& group = groups_[one.group];
                answer_field_case(node, group.results[one.receiver], group.receivers[one.receiver],
                                  group.earth[0].resistivity_ohm_m, *out, answer);
            }
            ++answer.case_count;
        }
        return answer;
    }

  private:
    void add(Json& json, std::string path) {
        const Node c(json, path, text_);
        if (!json.is_object()) c.complain(c.short_text(), "a case: an object");
        Case one{&json, std::move(path)};
        if (c.has("receiver") || c.has("loop") || c.has("moment_A_m2")) {
            one.group = group_of(c);
            const Node place = c["receiver"];
            place.only_keys({"x_m", "y_m", "z_m"});
            std::vector<Receiver>& receivers = groups_[one.group].receivers;
            one.receiver = receivers.size();
            receivers.push_back({place["x_m"].number(), place["y_m"].number(), place["z_m"].number()});
        }
        cases_.push_back(std::move(one));
    }

    std::size_t group_of(const Node& c) {
        std::string key = c["model"].json().dump();
        for (const char* part : {"frequency_Hz", "wavenumbers", "loop", "moment_A_m2", "source_height_m",
                                 "x_m", "y_m", "tolerance", "integration"})
            if (c.has(part)) key += fmt::format("\n{} {}", part, c.json()[part].dump());
        const auto [found, fresh] = group_by_key_.try_emplace(std::move(key), groups_.size());
        if (fresh) {
            const model::ground::Wavenumbers waves = wavenumbers_of(c["wavenumbers"]);
            groups_.push_back({.earth = earth_of_node(c["model"]),
                               .frequency_hz = c["frequency_Hz"].number(),
                               .source = source_of(c),
                               .options = options_of(c, root_, waves),
                               .receivers = {},
                               .results = {}});
        }
        return found->second;
    }

    /// Of the cases that the engine refuses, the first of the file.
    void complain_of_the_first() {
        for (const Case& one : cases_) {
            if (one.group == Case::no_group) continue;
            const Group& group = groups_[one.group];
            try {
                const Receiver& receiver = group.receivers[one.receiver];
                if (one.receiver == 0)
                    (void)model::fields::field(group.earth, group.frequency_hz, group.source, receiver,
                                               group.options);
                else
                    model::fields::check_field_job(group.source, {&receiver, 1});
            } catch (const model::RangeError& refused) {
                complain_of(refused, Node(*one.json, one.path, text_));
            }
        }
    }

    const RequestText& text_;
    Node root_;
    std::vector<Case> cases_;
    std::vector<Group> groups_;
    std::unordered_map<std::string, std::size_t> group_by_key_;  // asked, never walked through
};

}  // namespace

FieldsAnswer answer_cases(Node::Json& request, const RequestText& text, unsigned threads) {
    CaseList cases(request, text);
    cases.compute(threads);
    return cases.answer();
}

}  // namespace ampturn::field_request
