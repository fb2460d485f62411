// libFuzzer target: words of the command line that are read by hand: ranges, parts, times, speeds, dates, and the panel's words for time.
#include <cmath>
#include <string>

#include "firmware-sim/host/pacer.hpp"
#include "firmware-sim/net/http_line.hpp"
#include "firmware-sim/record/session_log.hpp"
#include "firmware-sim/session/pace_request.hpp"
#include "firmware-sim/site/utc_text.hpp"
#include "scheduler/base/part_range.hpp"
#include "scheduler/cli/arguments/number_range.hpp"
#include "scheduler/plan/tree/config_read.hpp"
#include "tests/fuzz/accepted.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace ampturn;
    const std::string text(fuzz::text_of_bytes(data, size));
    fuzz::accepted([&] {
        const auto range = cli::arguments::parse_number_range(text, "--vary", 1000);
        const std::vector<double> all = cli::arguments::evenly(range);
        fuzz::must(all.size() == static_cast<std::size_t>(range.count), "as many as were asked for");
        fuzz::must(all.front() == range.low && all.back() == range.high, "both ends included");
    });
    fuzz::accepted([&] {
        const base::PartRange part = base::parse_part_range(text, "--part", 1000, "FIRST:COUNT");
        fuzz::must(part.first >= 0 && part.count >= 1 && part.first + part.count <= 1000,
                   "a part lies inside");
    });
    fuzz::accepted([&] {
        const double speed = sim::host::Pacer::parse_speed(text);
        fuzz::must(speed >= 0 && std::isfinite(speed), "a speed is a number");
    });
    if (const auto seconds = plan::tree::time_of_day_s(text))
        fuzz::must(*seconds >= 0 && *seconds < 86'400, "a time lies in a day");
    if (const auto pace = sim::session::pace_request_of(text))
        fuzz::must(std::isfinite(pace->value), "a pace is a number");
    std::int64_t utc_s = 0;
    if (sim::site::parse_utc(text, utc_s)) {
        const std::string again = sim::site::utc_text_ms(utc_s, 0);
        fuzz::must(again.substr(0, 19) == text.substr(0, 19), "a time is written as it was read");
    }
    (void)sim::net::is_http_line(text);
    fuzz::must(sim::record::text_of_printable(sim::record::printable(text)) == text,
               "what is made printable comes back");
    (void)sim::record::text_of_printable(text);
    return 0;
}
