#pragma once

#include <cstddef>
#include <map>
#include <memory>
#include <mutex>
#include <tuple>

#include "scheduler/rehearse/process/line_draw.hpp"
#include "scheduler/rehearse/station/step_measured.hpp"

namespace ampturn::rehearse::station {

/// What drawing needs of a step's frequency and sampling: worked out once for all stations, loops and sweeps. Any thread
/// may ask.
class LineDraws {
  public:
    const process::LineDraw& of(const record::StepRecording& step, plan::Window window);

  private:
    using Key = std::tuple<double, double, std::size_t>;  // frequency, sample rate, samples a record
    std::mutex mutex_;
    std::map<Key, std::unique_ptr<process::LineDraw>> kept_;
};

/// As measure_step, the lines drawn without samples and so without the natural field beside them and the spectrum. A step
/// whose source, mains and interferers together may meet the end of a converter is synthesised.
struct DrawnStep {
    StepMeasured measured;
    bool synthesised;
};
DrawnStep draw_step(const Rehearsal& rehearsal, int station_index, const SentStep& sent, StationNoise& noise,
                    LineDraws& draws);

}  // namespace ampturn::rehearse::station
