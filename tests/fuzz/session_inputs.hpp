#pragma once

#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <string>
#include <string_view>
#include <vector>

#include "firmware-sim/session/session.hpp"
#include "firmware-sim/site/action.hpp"
#include "firmware-sim/site/transmitter_setup.hpp"

namespace ampturn::fuzz {

/// Inputs of a session as lines of text. "+SECONDS" lets time pass, "{...}" is a panel's message, "w {...}" that of a watcher,
/// anything else is in the command language.
inline const std::vector<std::string>& session_lines() {
    static const std::vector<std::string> lines = [] {
        std::vector<std::string> all{"*IDN?",
                                     "*RST;*CLS",
                                     "LIST:FREQ 96,384;CURR 2;DWEL 1;LOOP A,B;TAP 3,2;CAP 0",
                                     "ARM;INIT;*OPC?",
                                     "ARM",
                                     "INIT",
                                     "ABOR",
                                     "*TRG",
                                     "TRIG:SOUR BUS",
                                     "LIST:IMAG?",
                                     "LIST:IMAG #0",
                                     "LIST:FREQ? MAX",
                                     "LIST:COUN 3",
                                     "STAT:OPER:ENAB 8",
                                     "*SRE 128",
                                     "*ESE 255",
                                     "*OPC",
                                     "*WAI",
                                     "SYST:ERR:ALL?",
                                     "SYST:HELP:HEAD?",
                                     "SYST:TIME?",
                                     "OUTP:PROT:CLE",
                                     "OUTP:PROT:TRIP:CAUS?",
                                     "MEAS:CURR? A;TEMP?;:MEAS:VOLT:BUS?",
                                     "SYST:PASS:CEN \"TOKEN\"",
                                     "*TST?",
                                     "STAT:PRES",
                                     "+0.1",
                                     "+1",
                                     "+6",
                                     "+60",
                                     "+600",
                                     R"({"ask":"hello"})",
                                     R"({"ask":"debrief"})",
                                     R"({"seat":"take"})",
                                     R"({"seat":"leave"})",
                                     R"({"radio":"ready"})",
                                     R"({"remark":"a"})",
                                     R"({"pace":"step 10"})",
                                     R"({"drill":"finish"})",
                                     R"({"course":"list"})",
                                     R"(w {"do":"stop"})",
                                     R"(w {"do":"go"})"};
        for (int i = 0; i < sim::site::action_count; ++i)
            all.push_back(std::string(R"({"do":")") +
                          sim::site::info(static_cast<sim::site::Action>(i)).name + R"("})");
        for (const char* fault : {"open_loop_a", "shorted_loop_b", "wet_connector_a", "weak_battery",
                                  "reversed_leads", "clock_drift", "person_in_ring"})
            for (const char* on : {"true", "false"})
                all.push_back(std::string(R"({"fault":")") + fault + R"(","on":)" + on + "}");
        return all;
    }();
    return lines;
}

inline sim::session::SessionSetup practice_setup() {
    sim::session::SessionSetup setup;
    setup.start_utc_s = 1'780'300'800;
    setup.plan_path = sim::site::default_plan_name;
    setup.plan_text = sim::site::default_plan();
    return setup;
}

/// Longest that a line lets pass, and all of them together.
inline constexpr double pause_s_max = 600, seconds_max = 1200;

/// Feeds the lines; the session is closed at the end.
inline void run_session(sim::session::Session& session, std::string_view text) {
    using Kind = sim::record::SessionInput::Kind;
    using sim::record::Role;
    constexpr std::size_t lines_max = 40;
    session.take(session.now(), {Kind::open, 1, "tcp#1", Role::trainee, ""});
    double passed_s = 0;
    for (std::size_t count = 0; count < lines_max && !text.empty(); ++count) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        const std::string line(text.substr(0, end));
        text.remove_prefix(std::min(end + 1, text.size()));
        if (line.starts_with('+')) {
            const double pause_s = std::min(std::strtod(line.c_str() + 1, nullptr), pause_s_max);
            if (!(pause_s > 0) || passed_s + pause_s > seconds_max) continue;
            passed_s += pause_s;
            session.run_until(session.now() +
                              core::Ticks{static_cast<std::uint64_t>(pause_s * session.clock_hz())});
        } else if (line.starts_with('{')) {
            session.take(session.now(), {Kind::panel, 2, "panel#2", Role::trainer, line});
        } else if (line.starts_with("w {")) {
            session.take(session.now(), {Kind::panel, 3, "panel#3", Role::watcher, line.substr(2)});
        } else {
            session.take(session.now(), {Kind::message, 1, "tcp#1", Role::trainee, line});
        }
    }
    session.take(session.now(), {Kind::close, 1, "tcp#1", Role::trainee, ""});
    session.close("end");
}

}  // namespace ampturn::fuzz
