// libFuzzer target: a list of grounds, JSON lines, whole and in parts. A part has the grounds and names of the whole list.
#include <string>
#include <vector>

#include "scheduler/field_request/ground_list.hpp"
#include "tests/fuzz/accepted.hpp"
#include "tests/fuzz/mutate.hpp"

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t size_max,
                                               unsigned seed) {
    using namespace ampturn;
    static const std::vector<std::string> keys{
        "name",       "resistivity_ohm_m", "thickness_m", "relative_permittivity", "relative_permeability",
        "anisotropy", "polarisable",       "layer",       "chargeability",         "time_constant_s",
        "exponent"};
    return fuzz::mutated(data, size, size_max, seed, [](std::string text, fuzz::Random& random) {
        if (random() % 2 == 0) return fuzz::changed_lines(std::move(text), {}, random);
        const std::size_t end = text.find('\n');
        return fuzz::changed_json(text.substr(0, end), keys, random) +
               (end == std::string::npos ? "" : text.substr(end));
    });
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace ampturn;
    const std::string text(fuzz::text_of_bytes(data, size));
    field_request::GroundList whole;
    if (!fuzz::accepted([&] { whole = field_request::read_grounds(text, "fuzz.jsonl", "", "--part"); }))
        return 0;
    fuzz::must(whole.total > 0 && whole.grounds.size() == static_cast<std::size_t>(whole.total),
               "a ground a line");
    const int last = whole.total - 1;
    const field_request::GroundList part =
        field_request::read_grounds(text, "fuzz.jsonl", std::to_string(last) + ":1", "--part");
    fuzz::must(part.total == whole.total && part.crc32 == whole.crc32, "a part is of the list");
    fuzz::must(part.grounds.size() == 1 && part.names.front() == whole.names.back(), "and holds its line");
    return 0;
}
