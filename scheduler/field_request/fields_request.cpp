#include "scheduler/field_request/fields_request.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <iterator>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <string_view>

#include "model/base/check_range.hpp"
#include "model/base/skin_depth.hpp"
#include "model/fields/fields.hpp"
#include "model/ground/plane_wave.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/base/json.hpp"

namespace ampturn::field_request {

namespace {

using Json = nlohmann::ordered_json;
using Complex = std::complex<double>;

/// A value of the request with its path, so that a complaint can say where it stands.
class Node {
  public:
    Node(const Json& json, std::string path, const std::map<std::string, base::Position>& positions,
         const std::string& file)
        : json_(json), path_(std::move(path)), positions_(positions), file_(file) {}

    const Json& json() const { return json_; }
    const std::string& path() const { return path_; }
    bool has(const char* key) const { return json_.is_object() && json_.contains(key); }

    Node operator[](const char* key) const {
        if (!json_.is_object()) complain(short_text(), "an object");
        if (!json_.contains(key)) complain("no \"" + std::string(key) + "\"", "it is required");
        return {json_[key], path_.empty() ? key : path_ + '.' + key, positions_, file_};
    }
    Node at(std::size_t index) const {
        return {json_[index], fmt::format("{}[{}]", path_, index), positions_, file_};
    }

    std::size_t list_size() const {
        if (!json_.is_array()) complain(short_text(), "a list");
        return json_.size();
    }
    double number() const {
        if (!json_.is_number()) complain(short_text(), "a number");
        return json_.get<double>();
    }
    std::vector<double> numbers() const {
        std::vector<double> result(list_size());
        for (std::size_t i = 0; i < result.size(); ++i) result[i] = at(i).number();
        return result;
    }
    std::array<double, 3> three_numbers() const {
        if (list_size() != 3) complain(short_text(), "three numbers");
        return {at(0).number(), at(1).number(), at(2).number()};
    }
    Complex complex() const {
        if (list_size() != 2) complain(short_text(), "[real, imaginary]");
        return {at(0).number(), at(1).number()};
    }
    void only_keys(std::initializer_list<const char*> known) const {
        if (!json_.is_object()) complain(short_text(), "an object");
        for (const auto& [key, value] : json_.items())
            if (std::find(known.begin(), known.end(), key) == known.end())
                complain("unknown key \"" + key + "\"", fmt::format("{}", fmt::join(known, ", ")));
    }

    [[noreturn]] void complain(const std::string& found, const std::string& allowed) const {
        complain_at(path_, found, allowed);
    }
    /// Of what stands under a path that starts at this node.
    [[noreturn]] void complain_below(const std::string& path, const std::string& found,
                                     const std::string& allowed) const {
        complain_at(path_.empty() ? path : path_ + '.' + path, found, allowed);
    }
    std::string short_text() const {
        std::string text = json_.dump();
        if (text.size() > 40) text = text.substr(0, 37) + "...";
        return text;
    }

  private:
    [[noreturn]] void complain_at(const std::string& path, const std::string& found,
                                  const std::string& allowed) const {
        const auto at = positions_.find(path);
        throw base::InputError(
            base::InputProblem{.file = file_,
                               .position = at == positions_.end() ? base::Position{} : at->second,
                               .key = path,
                               .found = found,
                               .allowed = allowed});
    }

    const Json& json_;
    std::string path_;
    const std::map<std::string, base::Position>& positions_;
    const std::string& file_;
};

/// Where a case holds what the engine knows under a name of its own; [] takes the number of the entry.
struct PathOfName {
    std::string_view name, path;
    bool made_of_several = false;  // then the engine's name is shown beside the value
};

constexpr PathOfName paths[] = {
    {"layers", "resistivity_ohm_m"},
    {"layer.resistivity_ohm_m", "resistivity_ohm_m[]"},
    {"layer.thickness_m", "thickness_m[]"},
    {"layer.relative_permittivity", "relative_permittivity[]"},
    {"layer.relative_permeability", "relative_permeability[]"},
    {"layer.vertical_resistivity_ratio", "vertical_resistivity_ratio[]"},
    {"layer.cole_cole.chargeability", "cole_cole[].chargeability"},
    {"layer.cole_cole.time_constant_s", "cole_cole[].time_constant_s"},
    {"layer.cole_cole.exponent", "cole_cole[].exponent"},
    {"frequency_hz", "frequency_Hz"},
    {"dipole.height_m", "source_height_m"},
    {"dipole.moment_a_m2", "moment_A_m2[]"},
    {"loop.turns", "loop.turns"},
    {"loop.current_a", "loop.current_A"},
    {"loop.vertices", "loop.vertices_xyz_m"},
    {"loop.vertex.x_m", "loop.vertices_xyz_m[][0]"},
    {"loop.vertex.y_m", "loop.vertices_xyz_m[][1]"},
    {"loop.vertex.z_m", "loop.vertices_xyz_m[][2]"},
    {"loop.vertex.off_plane_m", "loop.vertices_xyz_m[]", true},
    {"receiver", "receiver"},
    {"receiver.offset_m", "receiver", true},
    {"receiver.distance_to_wire_m", "receiver", true},
    {"receiver.z_m", "receiver.z_m"},
};

/// Runs what the engine may refuse, and says where below the node the refused value stands.
template <class Work>
auto at_node(const Node& node, Work work) {
    try {
        return work();
    } catch (const model::RangeError& refused) {
        const auto known = std::find_if(std::begin(paths), std::end(paths),
                                        [&](const PathOfName& p) { return p.name == refused.name(); });
        if (known == std::end(paths))
            node.complain(refused.name() + ' ' + refused.found(), refused.allowed());
        std::string path(known->path);
        if (const auto entry = path.find("[]"); entry != std::string::npos)
            path.replace(entry, 2, refused.index() ? fmt::format("[{}]", *refused.index()) : "");
        node.complain_below(path, (known->made_of_several ? refused.name() + ' ' : "") + refused.found(),
                            refused.allowed());
    }
}

model::ground::LayeredEarth earth_of_node(const Node& node) {
    node.only_keys({"resistivity_ohm_m", "thickness_m", "relative_permittivity", "relative_permeability",
                    "vertical_resistivity_ratio", "cole_cole"});
    const std::vector<double> resistivity = node["resistivity_ohm_m"].numbers();
    const std::vector<double> thickness = node["thickness_m"].numbers();
    if (resistivity.empty()) node["resistivity_ohm_m"].complain("no layer", "1 to 64");
    if (thickness.size() + 1 != resistivity.size())
        node["thickness_m"].complain(
            fmt::format("{} thicknesses", thickness.size()),
            fmt::format("{}, one fewer than resistivities: the last layer is infinite",
                        resistivity.size() - 1));
    std::vector<model::ground::Layer> layers(resistivity.size());
    auto per_layer = [&](const char* key, auto set) {
        if (!node.has(key)) return;
        const Node list = node[key];
        if (list.list_size() != layers.size())
            list.complain(fmt::format("{} values", list.list_size()),
                          fmt::format("{}, one a layer", layers.size()));
        for (std::size_t i = 0; i < layers.size(); ++i) set(layers[i], list.at(i));
    };
    for (std::size_t i = 0; i < layers.size(); ++i) {
        layers[i].resistivity_ohm_m = resistivity[i];
        if (i < thickness.size()) layers[i].thickness_m = thickness[i];
    }
    per_layer("relative_permittivity",
              [](model::ground::Layer& l, const Node& n) { l.relative_permittivity = n.number(); });
    per_layer("relative_permeability",
              [](model::ground::Layer& l, const Node& n) { l.relative_permeability = n.number(); });
    per_layer("vertical_resistivity_ratio",
              [](model::ground::Layer& l, const Node& n) { l.vertical_resistivity_ratio = n.number(); });
    per_layer("cole_cole", [](model::ground::Layer& l, const Node& n) {
        if (n.json().is_null()) return;
        n.only_keys({"chargeability", "time_constant_s", "exponent"});
        l.cole_cole = {.chargeability = n["chargeability"].number(),
                       .time_constant_s = n["time_constant_s"].number(),
                       .exponent = n["exponent"].number()};
    });
    return at_node(node, [&] { return model::ground::LayeredEarth(layers); });
}

model::ground::Wavenumbers wavenumbers_of(const Node& node) {
    if (node.json() == "full") return model::ground::Wavenumbers::full;
    if (node.json() == "quasi_static") return model::ground::Wavenumbers::quasi_static;
    node.complain(node.short_text(), "\"full\" or \"quasi_static\"");
}

model::fields::Source source_of(const Node& c) {
    if (c.has("loop")) {
        const Node loop = c["loop"];
        model::fields::Loop result{
            .vertices_xyz_m = {}, .turns = loop["turns"].number(), .current_a = loop["current_A"].number()};
        const Node vertices = loop["vertices_xyz_m"];
        for (std::size_t i = 0; i < vertices.list_size(); ++i)
            result.vertices_xyz_m.push_back(vertices.at(i).three_numbers());
        return result;
    }
    return model::fields::Dipole{.moment_a_m2 = c["moment_A_m2"].three_numbers(),
                                 .height_m = c["source_height_m"].number()};
}

constexpr std::array e_names{"Ex_V_per_m", "Ey_V_per_m"};
constexpr std::array h_names{"Hx_A_per_m", "Hy_A_per_m", "Hz_A_per_m"};

Complex component(const model::fields::Fields& f, const std::string& name) {
    if (name == "Ex_V_per_m") return f.ex_v_per_m;
    if (name == "Ey_V_per_m") return f.ey_v_per_m;
    if (name == "Hx_A_per_m") return f.hx_a_per_m;
    if (name == "Hy_A_per_m") return f.hy_a_per_m;
    return f.hz_a_per_m;
}

template <class Names>
double largest(const model::fields::Fields& f, const Names& names) {
    double size = 0;
    for (const char* name : names) size = std::max(size, std::abs(component(f, name)));
    return size;
}

template <class Names>
double error_rel(const Node& reference, const model::fields::Fields& f, const Names& names) {
    double size = 0, error = 0;
    for (const char* name : names) {
        const Complex expected = reference[name].complex();
        size = std::max(size, std::abs(expected));
        error = std::max(error, std::abs(component(f, name) - expected));
    }
    return error / size;
}

Json pair_of(Complex z) { return Json::array({z.real(), z.imag()}); }

constexpr double default_allowed_rel = 1e-7;

/// Below this, relative to the vector, an estimate is the rounding of a last bit, and differs between machines.
constexpr double estimate_floor_rel = 1e-11;

/// An error estimate as it is written: two significant digits, rounded up, not below the floor.
double written_estimate(double estimate, double largest) {
    const double least = std::max(estimate, estimate_floor_rel * largest);
    if (!(least > 0) || !std::isfinite(least)) return least;
    const double unit = std::pow(10.0, std::floor(std::log10(least)) - 1);
    return std::ceil(least / unit * (1 - 1e-9)) * unit;
}

std::string name_of(const Node& c) {
    return c.has("id") && c.json()["id"].is_string() ? c.json()["id"].get<std::string>() : c.path();
}

/// Keys of a reference that say how the reference was made, not what was computed here.
void drop_reference_remarks(Json& out) {
    for (const char* key : {"independent_check", "closed_form_rel_of_vector", "error_estimate_rel"})
        out.erase(key);
}

void answer_field_case(const Node& c, Json& out, FieldsAnswer& answer) {
    const model::ground::LayeredEarth earth = earth_of_node(c["model"]);
    const double frequency_hz = c["frequency_Hz"].number();
    const model::fields::Source source = source_of(c);
    const Node place = c["receiver"];
    place.only_keys({"x_m", "y_m", "z_m"});
    const model::fields::Receiver receiver{place["x_m"].number(), place["y_m"].number(),
                                           place["z_m"].number()};
    // A loop is many dipoles near each other, which share contours to 1e-9; a dipole gets its own two.
    const bool loop = std::holds_alternative<model::fields::Loop>(source);
    const model::fields::FieldOptions options{.wavenumbers = wavenumbers_of(c["wavenumbers"]),
                                              .tolerance_rel = loop ? 1e-8 : 1e-9,
                                              .reference = !loop};
    const model::fields::FieldResult result =
        at_node(c, [&] { return model::fields::field(earth, frequency_hz, source, receiver, options); });

    const double largest_e = largest(result.fields, e_names), largest_h = largest(result.fields, h_names);
    Json fields, error_abs;
    for (const char* name : e_names) {
        fields[name] = pair_of(component(result.fields, name));
        error_abs[name] = written_estimate(result.e_error_v_per_m, largest_e);
    }
    for (const char* name : h_names) {
        fields[name] = pair_of(component(result.fields, name));
        error_abs[name] = written_estimate(result.h_error_a_per_m, largest_h);
    }
    const double e_rel = written_estimate(result.e_error_v_per_m / largest_e, 1);
    const double h_rel = written_estimate(result.h_error_a_per_m / largest_h, 1);
    drop_reference_remarks(out);
    out["fields"] = fields;
    out["error_estimate_abs"] = error_abs;
    out["error_estimate_rel_of_vector"] = {{"E", e_rel}, {"H", h_rel}};
    out["error_estimate"] = std::max(e_rel, h_rel);
    if (c.has("offset_over_skin_depth_layer1"))
        out["offset_over_skin_depth_layer1"] = std::hypot(receiver.x_m, receiver.y_m) /
                                               model::skin_depth_m(earth[0].resistivity_ohm_m, frequency_hz);
    out["method"] = model::fields::method_text(result);

    if (!c.has("fields")) return;
    double allowed = default_allowed_rel;
    if (c.has("error_estimate_rel_of_vector"))
        for (const char* field : {"E", "H"})
            allowed = std::max(allowed, c["error_estimate_rel_of_vector"][field].number());
    answer.comparisons.push_back({.id = name_of(c),
                                  .e_error_rel = error_rel(c["fields"], result.fields, e_names),
                                  .h_error_rel = error_rel(c["fields"], result.fields, h_names),
                                  .allowed_rel = allowed});
}

void answer_impedance_case(const Node& c, Json& out, FieldsAnswer& answer) {
    const model::ground::LayeredEarth earth = earth_of_node(c["model"]);
    const double frequency_hz = c["frequency_Hz"].number();
    const Complex z = at_node(c, [&] {
        return model::ground::plane_wave_impedance_ohm(earth, frequency_hz, wavenumbers_of(c["wavenumbers"]));
    });
    drop_reference_remarks(out);
    out["surface_impedance_ohm"] = pair_of(z);
    out["apparent_resistivity_ohm_m"] = model::ground::apparent_resistivity_ohm_m(z, frequency_hz);
    out["phase_deg"] = model::ground::impedance_phase_deg(z);
    // Rounding of the recursion: every layer adds a few units in the last place.
    const double error = 1e-15 * (1 + static_cast<double>(earth.size()));
    out["error_estimate_rel"] = error;
    out["error_estimate"] = error;
    out["method"] = "recursion over layers, vertically incident plane wave";

    if (!c.has("surface_impedance_ohm")) return;
    const Complex expected = c["surface_impedance_ohm"].complex();
    answer.comparisons.push_back({.id = name_of(c),
                                  .e_error_rel = std::abs(z - expected) / std::abs(expected),
                                  .h_error_rel = 0,
                                  .allowed_rel = default_allowed_rel});
}

void answer_case(const Node& c, Json& out, FieldsAnswer& answer) {
    if (!c.json().is_object()) c.complain(c.short_text(), "a case: an object");
    if (c.has("receiver") || c.has("loop") || c.has("moment_A_m2"))
        answer_field_case(c, out, answer);
    else
        answer_impedance_case(c, out, answer);
    ++answer.case_count;
}

}  // namespace

FieldsAnswer answer_fields_request(const std::string& text, const std::string& file_name) {
    Json request;
    try {
        request = Json::parse(text);
    } catch (const Json::parse_error& error) {
        throw base::InputError(
            base::InputProblem{.file = file_name,
                               .position = base::position_of_byte(text, error.byte > 0 ? error.byte - 1 : 0),
                               .key = "",
                               .found = "text that is not JSON",
                               .allowed = "one case, or lists of cases, as JSON"});
    }
    const std::map<std::string, base::Position> positions = base::json_positions(text);
    const Node root(request, "", positions, file_name);
    if (!request.is_object()) root.complain(root.short_text(), "an object");

    FieldsAnswer answer;
    Json out = request;
    bool lists = false;
    for (const char* key : {"dipole_cases", "loop_cases", "impedance_cases"}) {
        if (!root.has(key)) continue;
        lists = true;
        const Node list = root[key];
        for (std::size_t i = 0; i < list.list_size(); ++i) answer_case(list.at(i), out[key][i], answer);
    }
    if (!lists) answer_case(root, out, answer);
    answer.json = base::json_text(out, 1);
    return answer;
}

bool all_hold(const FieldsAnswer& answer) {
    return std::all_of(answer.comparisons.begin(), answer.comparisons.end(),
                       [](const FieldsComparison& c) { return c.holds(); });
}

std::string describe_comparisons(const FieldsAnswer& answer) {
    if (answer.comparisons.empty())
        return fmt::format("{} cases computed; none came with reference outputs to compare with\n",
                           answer.case_count);
    std::string text;
    std::size_t held = 0;
    const FieldsComparison* worst = nullptr;
    double worst_ratio = -1;
    for (const FieldsComparison& c : answer.comparisons) {
        held += c.holds();
        const double ratio = std::max(c.e_error_rel, c.h_error_rel) / c.allowed_rel;
        if (!c.holds())
            text += fmt::format("{}: E {:.2g}, H {:.2g} of the vector; allowed {:.2g}\n", c.id, c.e_error_rel,
                                c.h_error_rel, c.allowed_rel);
        if (!(ratio <= worst_ratio)) {
            worst_ratio = ratio;
            worst = &c;
        }
    }
    text += fmt::format("{} of {} cases compared are within tolerance ({} computed)\n", held,
                        answer.comparisons.size(), answer.case_count);
    text += fmt::format("worst: {}: E {:.2g}, H {:.2g} of the vector; allowed {:.2g}\n", worst->id,
                        worst->e_error_rel, worst->h_error_rel, worst->allowed_rel);
    return text;
}

}  // namespace ampturn::field_request
