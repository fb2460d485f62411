// libFuzzer target: cases of the electrical side (JSON), as `transmitter --cases` takes them. A case with a mistake is a failed case
// that says why.
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "scheduler/reference/transmitter_cases.hpp"
#include "tests/fuzz/accepted.hpp"
#include "tests/fuzz/mutate.hpp"

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t size_max,
                                               unsigned seed) {
    using namespace ampturn;
    static const std::vector<std::string> keys{"topic", "cases", "id", "kind", "inputs", "outputs"};
    return fuzz::mutated(data, size, size_max, seed, [](const std::string& text, fuzz::Random& random) {
        return fuzz::changed_json(text, keys, random);
    });
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace ampturn;
    const nlohmann::json document = nlohmann::json::parse(fuzz::text_of_bytes(data, size), nullptr, false);
    if (document.is_discarded()) return 0;
    fuzz::accepted([&] {
        const auto results = reference::run_transmitter_cases(document, "fuzz.json");
        for (const auto& result : results)
            fuzz::must(result.pass || !result.message.empty(), "a failed case says why");
        (void)reference::transmitter_case_report(results);
    });
    return 0;
}
