// libFuzzer target: answers for a first plan (TOML), as `new --answers` takes them. Answers without a problem make a plan.
#include <string>
#include <vector>

#include "scheduler/new_plan/answers.hpp"
#include "scheduler/new_plan/plan_text.hpp"
#include "scheduler/plan/file/config.hpp"
#include "tests/fuzz/accepted.hpp"
#include "tests/fuzz/mutate.hpp"

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t size_max,
                                               unsigned seed) {
    using namespace ampturn;
    static const std::vector<std::string> lines = [] {
        std::vector<std::string> all;
        for (const plan::file::KeyInfo& key : new_plan::questions().infos()) {
            all.push_back(key.name + " = ");
            if (!key.default_text.empty()) all.push_back(key.name + " = " + key.default_text);
        }
        return all;
    }();
    return fuzz::mutated(data, size, size_max, seed, [](std::string text, fuzz::Random& random) {
        return fuzz::changed_lines(std::move(text), lines, random);
    });
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace ampturn;
    const std::string text(fuzz::text_of_bytes(data, size));
    fuzz::accepted([&] {
        const std::string made = new_plan::plan_text(new_plan::GivenAnswers(text, "fuzz.toml"));
        fuzz::must(fuzz::accepted([&] { (void)plan::file::parse_plan(made, "made.toml"); }),
                   "answers make a plan");
    });
    return 0;
}
