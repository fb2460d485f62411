#pragma once

#include <span>

/// Frequencies that other services use and a survey keeps clear of: time signals, navigation, communication to ships and
/// boats, beacons, broadcasting, receivers that only listen.
namespace ampturn::model::emission {

struct AvoidedService {
    const char* name;
    double low_hz, high_hz;
    const char* source;
};

/// Rising by low_hz. Most of it is general knowledge, as its entries say: stations come and go, so look at the local table of
/// allocations and listen on site. The bands about 10 to 80 kHz are those of
/// tests/reference/field/transmitters_vlf_lf_avoid.csv, half-widths included.
std::span<const AvoidedService> avoided_services();

}  // namespace ampturn::model::emission
