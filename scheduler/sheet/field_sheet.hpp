#pragma once

#include <string>

#include "scheduler/day/day_result.hpp"
#include "scheduler/plan/plan.hpp"

namespace ampturn::sheet {

/// What the crew takes along, from the simulated day: per site one printable page (A4 and Letter) with
/// site, loop azimuths (true and, with the plan's declination, compass) and sizes, table and checksum,
/// start marks in local time and UTC, batteries and swaps, keep-out distances, cautions, a checklist to be
/// read aloud and ticked without touching anything live, and space for remarks; and a page with loops and ring
/// drawn and each step's planned amperes and volts to tick off (more pages above 56 steps); with several receiver crews a page for
/// each of them. A plan that is not
/// carried says so on top of each page. No script, no other file.
std::string field_sheet_html(const plan::Plan& plan, const day::DayResult& day);

/// The day as an iCalendar object (RFC 5545): an event per sweep, travel, set-up and swap, times in UTC,
/// stable UIDs. InputError when the plan gives no date.
std::string calendar_text(const plan::Plan& plan, const day::DayResult& day);

}  // namespace ampturn::sheet
