#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "model/receiver/clock_and_bins.hpp"

/// Where a transmitted line falls: on the receiver's bins, near mains harmonics, on known interferers, on the
/// harmonics of other lines; and the nearest frequency of the clock that is clean.
///
/// A line is a pure tone, so a record's bin at the line also holds whatever lies within the main lobe of the
/// receiver's window around it. A disturbance that wanders over a band is kept out of the bin only when the
/// line stands farther off than half that band and half the lobe together: that sum is the guard, for mains
/// harmonics and interferers alike.
namespace ampturn::model::receiver {

struct InterfererBand {
    std::string name;
    double frequency_hz;
    double half_width_hz;
};

/// A band that another service uses: a line whose harmonic of this order lies inside, ends included, spoils its reception,
/// whatever the receiver makes of it. Order 1 is the line itself.
struct ServiceBand {
    std::string name;
    double low_hz, high_hz;
    int order = 1;
    bool operator==(const ServiceBand&) const = default;
};

struct PlacementRules {
    std::int64_t clock_hz = 24'000'000;
    Ratio sample_rate_hz{0, 1};
    std::int64_t record_length = 0;
    double mains_hz = 50;  ///< 0: none
    int mains_orders = 2000;
    bool weak_grid = false;
    double guard_bins = 3;          ///< half the main lobe of the receiver's window, part of every guard
    double bin_tolerance = 0.05;    ///< bins off that still count as on the bin
    double nyquist_fraction = 0.9;  ///< highest usable share of half the sample rate
    std::vector<InterfererBand> interferers;
    std::vector<ServiceBand> services;
    double bin_width_hz() const { return sample_rate_hz.value() / static_cast<double>(record_length); }
    double lobe_hz() const { return guard_bins * bin_width_hz(); }
};

/// What is wrong with a line. off_bin is a remark (coherent receivers care), the others spoil it.
enum class PlacementFault { off_bin, mains, interferer, harmonic_of_other, beyond_receiver, service };
const char* name_of(PlacementFault fault);

struct PlacementRemark {
    PlacementFault fault;
    int order = 0;  ///< mains harmonic, harmonic of the other line, or of this one in a service's band
    double distance_hz = 0;  ///< to it, signed
    double guard_hz = 0;     ///< that was asked; half the width of a service's band
    double other_hz = 0;  ///< the interferer, the other line's fundamental, or the middle of a service's band
    std::string other;    ///< the interferer's or the service's name
};

struct PlacementVerdict {
    double requested_hz;
    DivisorChoice drive;
    double frequency_hz;  ///< what the clock gives
    BinPosition bin;
    MainsOffset mains;  ///< order 0 without mains
    double mains_guard_hz;
    std::vector<PlacementRemark> remarks;
    bool clean() const { return remarks.empty(); }
    bool disturbed() const;                ///< by mains or an interferer
    std::optional<double> alternative_hz;  ///< nearest clean frequency of the clock, when not clean
    std::int64_t alternative_divisor = 0;
};

/// Half-width to keep clear around a mains harmonic: what it wanders over (noise.hpp) and half a main lobe.
double mains_guard_hz(int order, double mains_hz, bool weak_grid, double lobe_hz);
/// Up to here a line keeps clear of the whole band a harmonic wanders over; beyond, where these bands meet, it keeps to the
/// middle two fifths of the gap between two harmonics: most of the time the grid is nearer to its nominal frequency than it
/// may be (common practice, no source).
inline constexpr int orders_with_whole_guards = 200;
inline constexpr double guard_of_gap = 0.3;

/// The mains harmonic whose guard holds the frequency, 0 if none.
int mains_clash_order(const PlacementRules& rules, double frequency_hz);

/// Remarks on one divisor; `others` are the frequencies of the rest of the table (their 3rd and 5th harmonics
/// count, and this line's on them).
std::vector<PlacementRemark> placement_remarks(const PlacementRules& rules, std::int64_t divisor,
                                               const std::vector<double>& others);

/// Judges a table. Alternatives are sought within +-search_fraction of the request, and are clean against the
/// rest.
std::vector<PlacementVerdict> judge_placement(const PlacementRules& rules,
                                              const std::vector<double>& requested_hz,
                                              double search_fraction = 0.1);

/// `count` lines spaced evenly in log frequency from low to high, each moved to the nearest clean divisor. nullopt in
/// an entry: nothing clean within half the spacing. Lines taken earlier (from low to high) bind the later ones.
struct ProposedFrequency {
    double wanted_hz;
    std::optional<std::int64_t> divisor;
    double frequency_hz = 0;
};
std::vector<ProposedFrequency> propose_frequencies(const PlacementRules& rules, double low_hz, double high_hz,
                                                   int count);

}  // namespace ampturn::model::receiver
