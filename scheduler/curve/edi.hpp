#pragma once

#include <string>

#include "scheduler/curve/curve.hpp"

namespace ampturn::curve {

/// A station's noise-free response as an SEG EDI file (D. E. Wight, SEG MT/EMAP Data Interchange Standard,
/// 1988; block list in tests/reference/field/format_edi_minimum.csv): HEAD, INFO, DEFINEMEAS, MTSECT, FREQ,
/// ZROT, the 12 blocks of the impedance and its variance in (mV/km)/nT, tipper, END. INFO says that the data
/// are synthetic and which frequencies lie in the near field. Variances are of the computation alone (1e-8 of
/// |Z| and of the tipper).
std::string edi_text(const Curve& curve, const StationCurve& station);

/// A name for the file: letters, digits, "-" and "_" of the station's name, ".edi" behind it.
std::string edi_file_name(const StationCurve& station);

}  // namespace ampturn::curve
