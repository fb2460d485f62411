#pragma once

#include "scheduler/day/day_result.hpp"

/// A made-up day with every kind of content a writer meets: two sites, twelve stations, sixteen
/// frequencies, a battery that gives up, sweeps broken off, NaN where nothing was sent, names that need
/// escaping. The numbers have plausible shapes and prove nothing about physics.
ampturn::day::DayResult synthetic_day();
