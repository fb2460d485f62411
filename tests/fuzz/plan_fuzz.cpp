// libFuzzer target: a plan file and settings, as `ampturn check` takes them. A line "#--set KEY=VALUE" of the file is a setting. What is
// accepted is written, read again and written the same. Setting a plan up takes a hundred times as long as reading it, so of the accepted
// ones only some are.
#include <string>
#include <vector>

#include "scheduler/core/crc32.hpp"
#include "scheduler/plan/explain/key_reference.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/setup/survey_setup.hpp"
#include "tests/fuzz/accepted.hpp"
#include "tests/fuzz/mutate.hpp"
#include "tests/paths.hpp"

namespace {

using namespace ampturn;

constexpr std::string_view set_mark = "#--set ";

std::vector<plan::file::Setting> settings_in(std::string_view text) {
    std::vector<plan::file::Setting> settings;
    for (std::size_t at = text.find(set_mark); at != std::string_view::npos; at = text.find(set_mark, at)) {
        at += set_mark.size();
        settings.push_back(plan::file::parse_setting(std::string(text.substr(at, text.find('\n', at) - at))));
    }
    return settings;
}

std::string behind_first_line(const std::string& text) { return text.substr(text.find('\n') + 1); }

/// "[battery]", "capacity_ah = ", and settings of either.
const std::vector<std::string>& lines_of_schema() {
    static const std::vector<std::string> lines = [] {
        std::vector<std::string> all{"#--set station[1].name=B", "#--set sweep.step[1].dwell_s=1"};
        for (const plan::explain::FlatKey& key : plan::explain::flatten(plan::file::plan_key_infos())) {
            if (!key.info->children.empty()) {
                all.push_back(plan::explain::header_of(key));
                continue;
            }
            all.push_back(key.info->name + " = ");
            if (!key.info->default_text.empty())
                all.push_back(key.info->name + " = " + key.info->default_text);
            all.push_back(std::string(set_mark) + key.full_key + "= ");
        }
        return all;
    }();
    return lines;
}

}  // namespace

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t size_max,
                                               unsigned seed) {
    return fuzz::mutated(data, size, size_max, seed, [](std::string text, fuzz::Random& random) {
        return fuzz::changed_lines(std::move(text), lines_of_schema(), random);
    });
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text = fuzz::text_of_bytes(data, size);
    const std::string path =
        test::source_path("demo/ostrel/fuzz.toml");  // files that a plan names stand there
    plan::Plan plan;
    if (!fuzz::accepted([&] { plan = plan::file::parse_plan(text, path, settings_in(text)); })) return 0;
    const std::string written = plan::file::write_plan(plan);
    plan::Plan again;
    fuzz::must(fuzz::accepted([&] { again = plan::file::parse_plan(written, path); }),
               "what was written is read");
    fuzz::must(behind_first_line(plan::file::write_plan(again)) == behind_first_line(written),
               "and written the same");
    constexpr std::uint32_t one_in = 32;
    if (core::crc32({data, size}) % one_in != 0) return 0;
    fuzz::accepted([&] {
        const setup::SurveySetup setup = setup::survey_setup_of(plan);
        fuzz::must(setup.table.duration_s > 0, "a table takes time");
    });
    return 0;
}
