#pragma once

#include <string>
#include <vector>

/// Limits of field strength at a distance, as tables of others have them. A planning aid, never legal advice: what holds
/// where and when only the licensing authority can say.
namespace ampturn::model::emission {

enum class LimitedField { magnetic, electric };

/// One line of a table; both ends of the band belong to it, so that at a common edge both lines count.
struct EmissionLimit {
    std::string name;  // of the table or of the own limit
    double low_hz, high_hz;
    double distance_m;
    LimitedField field;
    double level;          // A/m or V/m, rms, up to level_hz
    double level_hz;       // where it begins to fall
    double falling_power;  // above: level (level_hz/f)^falling_power; 0: level all over
    std::string source;
    bool holds_at(double frequency_hz) const { return frequency_hz >= low_hz && frequency_hz <= high_hz; }
    double level_at(double frequency_hz) const;
};

enum class LimitTable {
    /// CEPT ERC/REC 70-03 annex 9, inductive applications, loop antennas, magnetic field at 10 m. "Falls 3 dB per octave" is
    /// taken as the square root of frequency. Read for 100 Hz to 140 kHz (tests/reference/facts); beyond from memory.
    erc_rec_70_03_annex_9,
    /// 47 CFR 15.209(a), general limits, electric field; read (tests/reference/facts). Below 30 MHz a loop measures, and its
    /// reading times the impedance of free space counts as electric field (common practice, no source).
    cfr_47_15_209
};
const char* name_of(LimitTable table);
std::vector<EmissionLimit> limits_of(LimitTable table);

/// Decibels over one microampere or microvolt a metre, and back. Definition: 20 log10.
double db_of_micro(double per_m);
double per_m_of_db_micro(double db);

}  // namespace ampturn::model::emission
