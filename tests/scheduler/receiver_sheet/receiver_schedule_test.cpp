#include "scheduler/receiver_sheet/receiver_schedule.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "scheduler/base/number_text.hpp"
#include "scheduler/day/day.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/receiver_sheet/receiver_output.hpp"
#include "tests/paths.hpp"

namespace ampturn::receiver_sheet {
namespace receiver_schedule_test {

using testing::HasSubstr;

struct Planned {
    plan::Plan plan;
    day::DayResult day;
    std::vector<CrewSchedule> crews;
};
Planned planned(const std::vector<plan::file::Setting>& settings = {}, const char* name = "demo/quick.toml") {
    plan::Plan plan = plan::file::load_plan(ampturn::test::source_path(name), settings);
    day::DayResult day = day::simulate_day(plan);
    std::vector<CrewSchedule> crews = receiver_schedules(plan, setup::sweep_setup_of(plan), day);
    return {std::move(plan), std::move(day), std::move(crews)};
}

// Identity: steps are those of the day's own sweeps; a crew stands ready before they begin and leaves after they end.
TEST(ReceiverSchedule, IsTheDayAsTheStationsHearIt) {
    const Planned p = planned();
    ASSERT_EQ(p.crews.size(), 1u);
    std::size_t sweeps = 0;
    for (const ListenedStation& station : p.crews[0].stations)
        for (const ListenedSweep& sweep : station.sweeps) {
            const day::SweepOutcome& sent = p.day.sweeps[sweeps++];
            ASSERT_EQ(sweep.steps.size(), sent.steps.size());
            EXPECT_EQ(sweep.start_s, sent.start_s);
            EXPECT_LE(station.ready_s, sweep.start_s);
            EXPECT_GE(station.leaves_s, sweep.end_s);
            for (std::size_t i = 0; i < sent.steps.size(); ++i) {
                EXPECT_EQ(sweep.steps[i].start_s, sent.steps[i].start_s);
                EXPECT_EQ(sweep.steps[i].dwell_s, sent.steps[i].dwell_s);
                EXPECT_LE(sweep.steps[i].whole_records * sweep.steps[i].record_s,
                          sweep.steps[i].dwell_s * (1 + 1e-9));
            }
        }
    EXPECT_EQ(sweeps, p.day.sweeps.size());
}

// Identity: noise of an estimate falls as one over the time, so the signal to noise of one record times the records is that of the
// whole step, which the day's readings have channel by channel; the larger line's channel is one of the two.
TEST(ReceiverSchedule, SignalToNoiseOfARecordAddsUpToTheReadings) {
    const Planned p = planned();
    int compared = 0;
    for (const ListenedStation& station : p.crews[0].stations)
        for (const ArrivingStep& step : station.sweeps.front().steps)
            for (const reading::Reading& r : p.day.readings) {
                if (r.station_index != station.station_index || r.frequency_hz != step.frequency_hz) continue;
                const reading::ChannelSnr& snr =
                    step.loop == model::loop::LoopSelection::b ? r.snr_b : r.snr_a;
                EXPECT_NEAR(step.b_snr_one_record * step.whole_records / std::max(snr.hx, snr.hy), 1, 1e-6);
                EXPECT_NEAR(step.e_snr_one_record * step.whole_records / std::max(snr.ex, snr.ey), 1, 1e-6);
                ++compared;
            }
    EXPECT_GE(compared, 8);
}

// Identity: a line is in proportion to the current; the range of a converter decides on nothing but the advice.
TEST(ReceiverSchedule, PeaksFollowTheCurrentAndTheAdviceFollowsThePeaks) {
    const Planned full = planned({{"noise.mains_hz", "0"}}),
                  half = planned({{"noise.mains_hz", "0"}, {"sweep.current_a_peak", "4"}}),
                  narrow = planned({{"noise.mains_hz", "0"}, {"receiver.e_full_scale_v", "1e-5"}});
    const ArrivingStep &a = full.crews[0].stations[0].sweeps[0].steps[0],
                       &b = half.crews[0].stations[0].sweeps[0].steps[0];
    EXPECT_NEAR(b.line_e_v / a.line_e_v,
                half.day.sweeps[0].steps[0].moment_a_m2_peak / full.day.sweeps[0].steps[0].moment_a_m2_peak,
                1e-9);
    const RangeUse &wide = full.crews[0].stations[0].e_v, &tight = narrow.crews[0].stations[0].e_v;
    EXPECT_EQ(wide.peak, tight.peak);
    EXPECT_FALSE(wide.clips());
    EXPECT_EQ(tight.clips(), tight.peak > 1e-5);
    EXPECT_GE(wide.full_scale_least, 2 * wide.peak);
    EXPECT_LE(wide.full_scale_least, 2.21 * wide.peak);
    EXPECT_LE(wide.gain_most() * wide.full_scale_least, wide.full_scale);
}

TEST(ReceiverSchedule, FilesSayTheSame) {
    const Planned p = planned();
    const auto files = receiver_files(p.plan, p.day, p.crews);
    ASSERT_EQ(files.size(), 3u);
    const auto json = nlohmann::json::parse(files[1].text);
    const std::string start = json["crews"][0]["stations"][0]["sweeps"][0]["steps"][0]["start_utc"];
    // Definition: local time is UTC plus the plan's offset.
    EXPECT_EQ(start, base::utc_text(p.plan.survey.date, p.day.sweeps[0].steps[0].start_s,
                                    p.plan.survey.utc_offset_h));
    EXPECT_THAT(files[0].text, HasSubstr(start));
    EXPECT_THAT(files[2].text, HasSubstr(start.substr(start.find('T') + 1, 8)));
    EXPECT_THAT(files[2].text, HasSubstr("INVENTED SCENARIO"));
}

TEST(ReceiverSchedule, TellsWhatIsNotSent) {
    const Planned p = planned({}, "demo/vesslarook.toml");  // its battery does not carry the day
    int not_sent = 0;
    for (const ListenedStation& station : p.crews[0].stations) {
        EXPECT_EQ(station.not_sent.empty(), !station.sweeps.empty());
        not_sent += !station.not_sent.empty();
    }
    EXPECT_GT(not_sent, 0);
    EXPECT_THAT(receiver_page(p.plan, p.day, p.crews[0]), HasSubstr("NOT SENT"));
}

// Closed form: UTC by hand, over midnight and in a zone of half an hour.
TEST(UtcText, ByHand) {
    using namespace std::chrono_literals;
    const std::chrono::year_month_day date{2031y / 3 / 1};
    EXPECT_EQ(base::utc_text(date, 1800, 1), "2031-02-28T23:30:00.000Z");
    EXPECT_EQ(base::utc_text(date, 86'400.25, -3.5), "2031-03-02T03:30:00.250Z");
    EXPECT_EQ(base::utc_text({}, 3600.0, 0), "T01:00:00.000Z");
}

}  // namespace receiver_schedule_test
}  // namespace ampturn::receiver_sheet
