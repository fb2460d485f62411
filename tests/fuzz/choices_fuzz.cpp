// libFuzzer target: a file of parts, as `weigh` takes it.
#include <string>
#include <vector>

#include "scheduler/weigh/choices_file.hpp"
#include "tests/fuzz/accepted.hpp"
#include "tests/fuzz/mutate.hpp"

namespace {

/// Tables and keys, as the program's own reference has them: "## `[loop]`" and "| `side_m` | ...".
std::vector<std::string> lines_of_reference(const std::string& markdown) {
    std::vector<std::string> lines;
    for (std::size_t at = markdown.find('`'); at != std::string::npos; at = markdown.find('`', at + 1)) {
        const std::size_t end = markdown.find('`', at + 1);
        if (end == std::string::npos) break;
        const std::string word = markdown.substr(at + 1, end - at - 1);
        if (!word.empty()) lines.push_back(word.front() == '[' ? word : word + " = ");
        at = end;
    }
    return lines;
}

}  // namespace

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t size_max,
                                               unsigned seed) {
    using namespace ampturn;
    static const std::vector<std::string> lines = lines_of_reference(weigh::choices_markdown());
    return fuzz::mutated(data, size, size_max, seed, [](std::string text, fuzz::Random& random) {
        return fuzz::changed_lines(std::move(text), lines, random);
    });
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace ampturn;
    fuzz::accepted([&] {
        const weigh::Choices choices = weigh::parse_choices(fuzz::text_of_bytes(data, size), "fuzz.toml");
        for (const weigh::Winding& winding : choices.windings)
            fuzz::must(winding.turns > 0, "a winding has turns");
        fuzz::must(choices.search.bank_positions >= 0 && choices.limits.load_kg > 0, "limits are limits");
    });
    return 0;
}
