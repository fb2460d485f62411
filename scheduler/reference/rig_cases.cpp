#include "scheduler/reference/rig_cases.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "scheduler/reference/rig_case_kinds.hpp"

namespace ampturn::plan {

namespace {

using nlohmann::json;

const CaseKinds& kinds() {
    static const CaseKinds all = [] {
        CaseKinds k;
        add_wire_kinds(k);
        add_inductance_kinds(k);
        add_bridge_kinds(k);
        add_battery_kinds(k);
        add_heat_kinds(k);
        add_frequency_kinds(k);
        add_exposure_kinds(k);
        add_signal_kinds(k);
        add_chain_kinds(k);
        return k;
    }();
    return all;
}

// A number passes when |got - expected| <= relative |expected| or <= absolute.
struct Tolerance {
    double relative;
    double absolute;
};

Tolerance tolerance(const std::string& kind, const std::string& key) {
    const auto is = [&kind](const char* k) { return kind == k; };
    const auto ends = [&key](const char* end) { return key.ends_with(end); };
    if (is("skin_ratio") || is("skin_vs_frequency") || is("bundle_proximity_estimate")) return {1e-4, 0};
    if (key.starts_with("printed_T")) return {0, 1.01e-4};         // four printed decimals, last may be off
    if (key.starts_with("printed_ratio_at")) return {0, 5.1e-5};   // as printed
    if (key.starts_with("printed_ratio_awg")) return {0, 5.1e-3};  // as printed
    if (is("polygon_self") || is("inductance_vs_frequency") || is("bundle_check"))
        return key == "gmr_over_all_pairs_minus_1" ? Tolerance{0, 1e-6} : Tolerance{1e-4, 0};
    if (is("day_duty_cycle") && ends("cutoff_time_s")) return {1e-4, 1.0};
    if (is("day_duty_cycle")) return {1e-5, 0};
    if (ends("ppm")) return {0, 1e-6};
    if (is("safe_distance") && ends("_m")) return {1e-5, 0};
    if (is("harmonic_exposure_sum") && ends("_m")) return {1e-5, 0};
    return {1e-6, 0};
}

// Outputs that are remarks, not results of the model: values remembered from a print, and samples drawn once
// that show the size of higher-order terms.
bool remark(const std::string& key) {
    return key == "harris_1978_table_2dp_from_memory" || key.starts_with("monte_carlo");
}

std::string unit_of(const std::string& key) {
    const auto stop = key.find_last_of("_.");
    return stop == std::string::npos ? key : key.substr(stop + 1);
}

class Comparison {
  public:
    Comparison(const std::string& kind, const Computed& got, RigCaseResult& result)
        : kind_(kind), got_(got), result_(result) {}

    void run(const json& expected) {
        measure(expected, "");
        result_.pass = true;
        compare(expected, got_.outputs, "", "");
    }

  private:
    // Largest size of each unit among the expected outputs: the scale against which a zero is zero.
    void measure(const json& v, const std::string& key) {
        if (v.is_object()) {
            for (const auto& [k, inner] : v.items()) measure(inner, k);
        } else if (v.is_array()) {
            for (const json& inner : v) measure(inner, key);
        } else if (v.is_number()) {
            double& s = size_[unit_of(key)];
            s = std::max(s, std::abs(v.get<double>()));
        }
    }

    void fail(const std::string& path, const std::string& why) {
        result_.pass = false;
        if (!result_.message.empty()) return;
        result_.message = path.empty() ? why : path + ": " + why;
    }

    void compare(const json& expected, const json& got, const std::string& path, const std::string& key) {
        if (remark(key)) return;
        if (expected.is_object()) {
            if (!got.is_object()) return fail(path, fmt::format("expected an object, got {}", got.dump()));
            for (const auto& [k, inner] : expected.items()) {
                const std::string next = path.empty() ? k : path + "." + k;
                const std::string next_key = key.empty() ? k : key + "." + k;
                if (remark(next_key)) continue;
                if (!got.contains(k))
                    fail(next, "output not known to this version");
                else
                    compare(inner, got.at(k), next, next_key);
            }
        } else if (expected.is_array()) {
            if (!got.is_array() || got.size() != expected.size())
                return fail(path, fmt::format("expected {} entries, got {}", expected.size(),
                                              got.is_array() ? got.size() : 0));
            for (std::size_t i = 0; i < expected.size(); ++i)
                compare(expected[i], got[i], fmt::format("{}[{}]", path, i), key);
        } else if (expected.is_number()) {
            if (!got.is_number())
                return fail(path, fmt::format("expected {}, got {}", expected.dump(), got.dump()));
            number(expected.get<double>(), got.get<double>(), path, key);
        } else if (expected != got) {
            fail(path, fmt::format("expected {}, got {}", expected.dump(), got.dump()));
        }
    }

    void number(double expected, double got, const std::string& path, const std::string& key) {
        const Tolerance t = tolerance(kind_, key);
        const double error = std::abs(got - expected);
        double scale = size_[unit_of(key)];
        const auto named = got_.scale.find(key);
        if (named != got_.scale.end()) scale = named->second;
        const double zero = 1e-12 * scale;
        // A value that is zero within the arithmetic is compared as a zero.
        double allowed = std::max(t.relative * std::abs(expected), t.absolute);
        double measure = t.relative > 0 && expected != 0 ? error / std::abs(expected) : error;
        if (std::abs(expected) <= zero) {
            allowed = std::max(allowed, zero);
            measure = scale > 0 ? error / scale : error;
        }
        double share = error == 0 ? 0 : error / allowed;
        if (std::isnan(got)) share = std::numeric_limits<double>::infinity();
        if (share > result_.worst_of_limit || result_.worst_key.empty()) {
            result_.worst_of_limit = share;
            result_.worst_error = measure;
            result_.worst_key = path;
        }
        if (!(share <= 1))
            fail(path, fmt::format("expected {:.15g}, got {:.15g}, off by {:.2g} (allowed {:.2g})", expected,
                                   got, error, allowed));
    }

    const std::string& kind_;
    const Computed& got_;
    RigCaseResult& result_;
    std::map<std::string, double> size_;
};

RigCaseResult run_case(const json& c) {
    RigCaseResult r;
    r.id = c.value("id", std::string("(no id)"));
    r.kind = c.value("kind", std::string("(no kind)"));
    const auto kind = kinds().find(r.kind);
    if (kind == kinds().end()) {
        r.message = "kind not known to this version";
        r.worst_of_limit = std::numeric_limits<double>::infinity();
        return r;
    }
    try {
        const Computed got = kind->second(c.at("inputs"), c.at("outputs"));
        Comparison(r.kind, got, r).run(c.at("outputs"));
    } catch (const json::exception& e) {
        r.pass = false;
        r.message = fmt::format("inputs: {}", e.what());
    } catch (const std::exception& e) {
        r.pass = false;
        r.message = e.what();
    }
    return r;
}

}  // namespace

double number_or(const json& inputs, const char* key, double otherwise) {
    const auto found = inputs.find(key);
    return found == inputs.end() || found->is_null() ? otherwise : found->get<double>();
}

std::vector<std::string> rig_case_kinds() {
    std::vector<std::string> names;
    for (const auto& [name, function] : kinds()) names.push_back(name);
    return names;
}

std::vector<RigCaseResult> run_rig_cases(const json& document) {
    if (!document.is_object() || !document.contains("cases") || !document["cases"].is_array())
        throw std::invalid_argument("not a file of cases: no list named \"cases\"");
    std::vector<RigCaseResult> results;
    for (const json& c : document["cases"]) {
        if (!c.is_object()) throw std::invalid_argument("\"cases\": an entry that is not an object");
        results.push_back(run_case(c));
    }
    return results;
}

std::string rig_case_report(const std::vector<RigCaseResult>& results) {
    struct Line {
        int cases = 0, passed = 0;
        const RigCaseResult* worst = nullptr;
    };
    std::map<std::string, Line> lines;
    for (const RigCaseResult& r : results) {
        Line& line = lines[r.kind];
        ++line.cases;
        line.passed += r.pass ? 1 : 0;
        if (!line.worst || r.worst_of_limit > line.worst->worst_of_limit) line.worst = &r;
    }
    std::string out =
        fmt::format("{:<38} {:>7} {:>12} {:>10}  {}\n", "kind", "passed", "worst error", "of limit", "where");
    for (const auto& [kind, line] : lines)
        out += fmt::format("{:<38} {:>3}/{:<3} {:>12.2e} {:>10.2g}  {} {}\n", kind, line.passed, line.cases,
                           line.worst->worst_error, line.worst->worst_of_limit, line.worst->id,
                           line.worst->worst_key);
    for (const RigCaseResult& r : results)
        if (!r.pass) out += fmt::format("miss: {} ({}): {}\n", r.id, r.kind, r.message);
    return out;
}

}  // namespace ampturn::plan
