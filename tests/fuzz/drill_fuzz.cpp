// libFuzzer target: a drill (TOML), as `drill` and `course` take it, and the trainer's form for a new one (JSON). A drill that the
// form makes is one that is read, with the form's title and level.
#include <string>
#include <vector>

#include "firmware-sim/course/drill_parts.hpp"
#include "firmware-sim/drill/drill.hpp"
#include "tests/fuzz/accepted.hpp"
#include "tests/fuzz/mutate.hpp"

namespace {

using namespace ampturn;

const std::vector<std::string> lines{"[start]",
                                     "[[happening]]",
                                     "[[good]]",
                                     "[[rule]]",
                                     "title = ",
                                     "level = ",
                                     "story = ",
                                     "cautions = ",
                                     "time_limit_s = ",
                                     "pass_percent = ",
                                     "ends_on = \"sweep_done\"",
                                     "air_c = ",
                                     "battery_state_of_charge = ",
                                     "connected = ",
                                     "area_checked = ",
                                     "receiver_ready_after_s = ",
                                     "faults = [\"person_in_ring\"]",
                                     "plan = \"../quick.toml\"",
                                     "invented = true",
                                     "at_s = ",
                                     "on = \"go\"",
                                     "after_s = ",
                                     "every = true",
                                     "fault = \"person_in_ring\"",
                                     "clear = \"person_in_ring\"",
                                     "say = \"a\"",
                                     "for_s = ",
                                     "did = \"go\"",
                                     "text = \"a\"",
                                     "why = \"a\"",
                                     "points = ",
                                     "critical = true",
                                     "id = \"a\"",
                                     "reason = \"a\"",
                                     "kind = \"within\"",
                                     "kind = \"order\"",
                                     "kind = \"before\"",
                                     "kind = \"never\"",
                                     "kind = \"reached\"",
                                     "kind = \"at_most\"",
                                     "steps = [\"go\", \"stop\"]",
                                     "first = \"go\"",
                                     "then = \"stop\"",
                                     "since = \"go\"",
                                     "after = \"fault:person_in_ring\"",
                                     "expect = \"stop\"",
                                     "seconds = ",
                                     "event = \"stop\"",
                                     "count = "};
const std::vector<std::string> keys{
    "id",           "title",        "story",    "level", "connected",      "air_c", "battery_state_of_charge",
    "time_limit_s", "pass_percent", "troubles", "fault", "after_sending_s"};

}  // namespace

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t size_max,
                                               unsigned seed) {
    return fuzz::mutated(data, size, size_max, seed, [](std::string text, fuzz::Random& random) {
        if (random() % 64 == 0)
            return std::string(
                R"({"id":"a","title":"A","story":"B","troubles":[{"fault":"person_in_ring","after_sending_s":5}]})");
        return text.starts_with('{') ? fuzz::changed_json(text, keys, random)
                                     : fuzz::changed_lines(std::move(text), lines, random);
    });
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text = fuzz::text_of_bytes(data, size);
    if (!text.starts_with('{')) {
        fuzz::accepted([&] {
            const sim::drill::Drill drill = sim::drill::parse_drill(text, "fuzz.toml");
            fuzz::must(drill.level >= 1 && drill.level <= 5 && !drill.title.empty(),
                       "a drill has title and level");
        });
        return 0;
    }
    sim::course::DrillParts parts;
    if (!fuzz::accepted([&] { parts = sim::course::parts_of_json(text); })) return 0;
    fuzz::must(fuzz::accepted([&] {
                   const sim::drill::Drill drill =
                       sim::drill::parse_drill(sim::course::drill_toml(parts), parts.id + ".toml");
                   fuzz::must(drill.title == parts.title && drill.level == parts.level,
                              "the form's title and level");
               }),
               "a drill made by the form is read");
    return 0;
}
