#pragma once

#include <compare>
#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <vector>

#include "scheduler/rehearse/process/line_draw.hpp"
#include "scheduler/rehearse/station/rehearsal.hpp"

namespace ampturn::rehearse::station {

/// Densities at a station and hour without mains, which is synthesised as what it is.
record::Densities densities_at(const plan::Plan& plan, const model::ground::LayeredEarth& earth,
                               const plan::Station& station, int hour);

/// Natural field, mains, interferers and converters at a station: what does not change from step to step is worked out
/// once and kept. Any thread may ask.
class StationNoise {
  public:
    /// rehearsal outlives it. InputError for a station whose natural field has a direction.
    StationNoise(const Rehearsal& rehearsal, int station_index);

    record::Surroundings at(const record::StepRecording& step, int hour);

    /// The same, as far as it is about the line.
    process::LineSurroundings about_line(const record::StepRecording& step, int hour);

  private:
    struct Key {
        double rate_hz;
        std::size_t block;
        int hour;
        auto operator<=>(const Key&) const = default;
    };
    struct Converters {
        model::receiver::Adc e, h;
    };
    /// Levels differ by hour only where the plan says so.
    int level_hour(int hour) const;
    const record::Densities& densities(int hour);
    const record::MainsWave& mains(double rate_hz);
    Converters converters(const record::StepRecording& step) const;

    const Rehearsal& rehearsal_;
    const plan::Station& station_;
    std::uint64_t stream_;
    record::Impedance
        impedance_;  // E over H of a plane wave as recorded: the ground's, and what the wire makes of E
    std::vector<record::KeyedCarrier> carriers_;
    std::mutex mutex_;
    std::map<int, record::Densities> densities_;
    std::map<Key, std::unique_ptr<record::NoiseShape>> noises_;
    std::map<double, std::unique_ptr<record::MainsWave>> mains_;
};

}  // namespace ampturn::rehearse::station
