// libFuzzer target: a class sheet (CSV). What is accepted is written and read again as the same.
#include <string>
#include <vector>

#include "firmware-sim/course/class_sheet.hpp"
#include "tests/fuzz/accepted.hpp"
#include "tests/fuzz/mutate.hpp"

namespace {

const std::string head =
    "utc,trainee,drill,title,level,attempt,time_s,points,points_max,percent,pass_percent,passed,ended_by,log\n";
const std::string row =
    "2026-06-01T08:00:00Z,Ada,first_start,\"First, start\",1,1,62.5,70,100,70,60,yes,finished,a.jsonl";

}  // namespace

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t size_max,
                                               unsigned seed) {
    using namespace ampturn;
    return fuzz::mutated(data, size, size_max, seed, [](std::string text, fuzz::Random& random) {
        if (!text.starts_with("utc")) text.insert(0, head);
        return fuzz::changed_lines(std::move(text), {row, "\"", "\"\"", "\"a\nb\"", ","}, random);
    });
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace ampturn;
    using namespace ampturn::sim::course;
    std::vector<Attempt> attempts;
    if (!fuzz::accepted(
            [&] { attempts = attempts_of(std::string(fuzz::text_of_bytes(data, size)), "fuzz.csv"); }))
        return 0;
    const std::string written = csv_of(attempts);
    std::vector<Attempt> again;
    fuzz::must(fuzz::accepted([&] { again = attempts_of(written, "written.csv"); }),
               "what was written is read");
    fuzz::must(csv_of(again) == written, "and written the same");
    return 0;
}
