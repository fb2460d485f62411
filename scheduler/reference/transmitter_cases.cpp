#include "scheduler/reference/transmitter_cases.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "model/base/check_range.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/reference/reference_case_runners.hpp"

namespace ampturn::reference {

namespace {

using nlohmann::json;

const CaseRunners& runners() {
    static const CaseRunners all = [] {
        CaseRunners r;
        add_wire_runners(r);
        add_inductance_runners(r);
        add_bridge_runners(r);
        add_battery_runners(r);
        add_heat_runners(r);
        add_frequency_runners(r);
        add_exposure_runners(r);
        add_signal_runners(r);
        add_chain_runners(r);
        return r;
    }();
    return all;
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
    Comparison(const CaseRunner& runner, const CaseOutputs& got, TransmitterCaseResult& result)
        : runner_(runner), got_(got), result_(result) {}

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
                const std::string next = path.empty() ? k : fmt::format("{}.{}", path, k);
                const std::string next_key = key.empty() ? k : fmt::format("{}.{}", key, k);
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
        const Tolerance& t = runner_.tolerance_of(key);
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

    const CaseRunner& runner_;
    const CaseOutputs& got_;
    TransmitterCaseResult& result_;
    std::map<std::string, double> size_;
};

TransmitterCaseResult run_case(const json& c, std::size_t index) {
    TransmitterCaseResult r;
    r.id = c.value("id", std::string("(no id)"));
    r.kind = c.value("kind", std::string("(no kind)"));
    const auto runner = runners().find(r.kind);
    if (runner == runners().end()) {
        r.message = "kind not known to this version";
        r.worst_of_limit = std::numeric_limits<double>::infinity();
        return r;
    }
    const std::string inputs = fmt::format("cases[{}].inputs", index);
    try {
        const CaseOutputs got = runner->second.compute(c.at("inputs"), c.at("outputs"));
        Comparison(runner->second, got, r).run(c.at("outputs"));
        return r;
    } catch (const base::InputError& refused) {
        base::InputProblem problem = refused.problems().front();
        problem.key = problem.key.empty() ? inputs : inputs + '.' + problem.key;
        r.message = text_of(problem);
    } catch (const model::RangeError& refused) {
        // The model's name, not the input's: each kind makes its own out of several inputs.
        r.message = base::text_of({.file = {},
                                   .position = {},
                                   .key = inputs,
                                   .found = refused.name() + ' ' + refused.found(),
                                   .allowed = refused.allowed()});
    } catch (const std::exception& e) {  // the JSON library's: a missing input, or one of another type
        r.message = fmt::format("{}: {}", inputs, e.what());
    }
    r.pass = false;
    return r;
}

}  // namespace

int whole_input(const json& inputs, const char* key) {
    const std::optional<int> number = base::whole_number<int>(inputs.at(key));
    if (!number) throw base::InputError({{}, {}, key, inputs.at(key).dump(), "a whole number"});
    return *number;
}

double number_or(const json& inputs, const char* key, double otherwise) {
    const auto found = inputs.find(key);
    return found == inputs.end() || found->is_null() ? otherwise : found->get<double>();
}

void unknown_word(const std::string& key, const std::string& word, const std::string& known) {
    throw base::InputError({{}, {}, key, word, known});
}

void same_length(const json& inputs, const char* key, const char* other_key) {
    const std::size_t length = inputs.at(key).size(), other_length = inputs.at(other_key).size();
    if (length == 0 || length != other_length)
        throw base::InputError({{},
                                {},
                                key,
                                fmt::format("{} entries", length),
                                fmt::format("as many as {}, {}, at least one", other_key, other_length)});
}

const Tolerance& CaseRunner::tolerance_of(std::string_view key) const {
    for (const KeyTolerance& exception : exceptions)
        if (key.starts_with(exception.start) && key.ends_with(exception.end)) return exception.tolerance;
    return tolerance;
}

std::vector<TransmitterCaseResult> run_transmitter_cases(const json& document, const std::string& file_name) {
    const auto refuse = [&](const std::string& key, const char* found, const char* allowed) {
        throw base::InputError({file_name, {}, key, found, allowed});
    };
    if (!document.is_object() || !document.contains("cases") || !document["cases"].is_array())
        refuse("", "no list named \"cases\"", "{\"cases\": [{id, kind, inputs, outputs}, ...]}");
    std::vector<TransmitterCaseResult> results;
    for (const json& c : document["cases"]) {
        const std::size_t index = results.size();
        if (!c.is_object())
            refuse(fmt::format("cases[{}]", index), "no object", "{id, kind, inputs, outputs}");
        for (const char* name : {"id", "kind"})
            if (c.contains(name) && !c[name].is_string())
                refuse(fmt::format("cases[{}].{}", index, name), c[name].type_name(), "a text");
        results.push_back(run_case(c, index));
    }
    return results;
}

std::string transmitter_case_report(const std::vector<TransmitterCaseResult>& results) {
    struct Line {
        int cases = 0, passed = 0;
        const TransmitterCaseResult* worst = nullptr;
    };
    std::map<std::string, Line> lines;
    for (const TransmitterCaseResult& r : results) {
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
    for (const TransmitterCaseResult& r : results)
        if (!r.pass) out += fmt::format("miss: {} ({}): {}\n", r.id, r.kind, r.message);
    return out;
}

}  // namespace ampturn::reference
