// libFuzzer target: parts of a computation that `merge` puts together: runs of a day, rows over grounds, descriptions of points. Runs that
// are accepted are written and read again as the same; what is merged of one part is a file, what is refused leaves none.
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "scheduler/base/version.hpp"
#include "scheduler/field_request/point_parts.hpp"
#include "scheduler/field_request/point_rows.hpp"
#include "scheduler/reach/ground_rows.hpp"
#include "scheduler/report/draw_rows.hpp"
#include "tests/fuzz/accepted.hpp"
#include "tests/fuzz/mutate.hpp"

namespace {

using namespace ampturn;
namespace fs = std::filesystem;

const std::vector<std::string> keys{"schema",    "version",   "git",       "first",  "count",
                                    "seed",      "plan_path", "settings",  "start",  "temperature_c",
                                    "batteries", "without",   "plan_text", "run",    "completed",
                                    "energy_wh", "lowest_v",  "usable",    "inputs", "charge_fraction",
                                    "battery_v", "ground",    "total",     "data",   "type",
                                    "bytes",     "shape",     "grounds",   "names",  "columns"};

std::string runs_part() {
    report::DrawsHead head;
    head.inputs.plan_text = "a";
    head.range = {.first = 0, .count = 2};
    day::DayDraw draw;
    draw.inputs = {0.5};
    draw.usable = {true, false};
    draw.battery.charge_fraction = {1};
    draw.battery.lowest_v = {25};
    return report::draws_head_line(head) + report::draw_line(0, draw) + report::draw_line(1, draw);
}

std::string stamped(const char* schema, const std::string& more) {
    return std::string(R"({"schema":")") + schema + R"(","version":")" + std::string(base::version()) +
           R"(","git":")" + std::string(base::git_hash()) + "\"," + more;
}

std::string rows_part() {
    return stamped(reach::ground_rows_schema,
                   "\"first\":0,\"count\":2,\"total\":2}\n{\"ground\":1}\n{\"ground\":2}\n");
}

std::string points_part() {
    return stamped(
        field_request::points_schema,
        R"("data":"part.f64","type":"float64","bytes":112,"shape":[1,1,1,1,14],"grounds":{"first":0,"total":1,"names":["1"]}})");
}

std::string changed_part(std::string text, fuzz::Random& random) {
    if (text.size() < 40) {
        const std::vector<std::string> fresh{runs_part(), rows_part(), points_part()};
        return fuzz::one_of(fresh, random);
    }
    if (random() % 3 == 0) return fuzz::changed_lines(std::move(text), {}, random);
    const std::size_t begin = random() % 2 == 0 ? 0 : text.find('\n') + 1,
                      end = std::min(text.find('\n', begin), text.size());
    return text.substr(0, begin) + fuzz::changed_json(text.substr(begin, end - begin), keys, random) +
           text.substr(end);
}

/// A folder of this run with the part in it, and data beside it.
class Folder {
  public:
    Folder() : path_(fs::temp_directory_path() / ("ampturn-parts-" + std::to_string(::getpid()))) {
        fs::create_directories(path_);
    }
    ~Folder() { fs::remove_all(path_); }
    std::string put(const std::string& name, std::string_view bytes) const {
        std::ofstream((path_ / name).string(), std::ios::binary) << bytes;
        return (path_ / name).string();
    }
    std::string out() const { return (path_ / "out").string(); }

  private:
    fs::path path_;
};

template <class Merge>
void merge(const Folder& folder, Merge&& merge_it) {
    const bool merged = fuzz::accepted(merge_it);
    fuzz::must(fs::exists(folder.out()) == merged, "a file when it is merged, none when it is refused");
    fs::remove(folder.out());
    fs::remove(folder.out() + ".json");
}

}  // namespace

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t size_max,
                                               unsigned seed) {
    return fuzz::mutated(data, size, size_max, seed, changed_part);
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string text(fuzz::text_of_bytes(data, size));
    fuzz::accepted([&] {
        const report::DrawsPart part = report::read_draws(text, "part.jsonl");
        std::string written = report::draws_head_line(part.head);
        int run = part.head.range.first;
        for (const day::DayDraw& draw : part.draws) written += report::draw_line(run++, draw);
        const report::DrawsPart again = report::read_draws(written, "again.jsonl");
        fuzz::must(again.draws.size() == part.draws.size(), "what was written is read");
        (void)report::merged_draws({part}, {"part.jsonl"}, 0);
    });
    static const Folder folder;
    const std::string file = folder.put("part.json", text);
    if (size < 2000) folder.put("part.f64", std::string(112, '\0'));
    merge(folder, [&] { reach::merge_ground_rows({file}, folder.out()); });
    merge(folder, [&] { field_request::merge_points({file}, folder.out()); });
    return 0;
}
