#include "scheduler/curve/edi.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <functional>

#include "model/base/constants.hpp"
#include "scheduler/base/number_text.hpp"
#include "scheduler/base/version.hpp"
#include "scheduler/curve/curve_output.hpp"

namespace ampturn::curve {

namespace {

using Complex = std::complex<double>;

/// Degrees as D:MM:SS.ss; 60.00 seconds are carried over.
std::string degrees_text(double degrees) {
    const long long hundredths = std::llround(std::abs(degrees) * 360'000);
    return fmt::format("{}{}:{:02}:{:05.2f}", degrees < 0 && hundredths > 0 ? "-" : "", hundredths / 360'000,
                       hundredths / 6'000 % 60, static_cast<double>(hundredths % 6'000) / 100);
}

std::string edi_date(std::chrono::year_month_day date) {
    if (!date.ok()) return "01/01/00";
    return fmt::format("{:02}/{:02}/{:02}", static_cast<unsigned>(date.month()),
                       static_cast<unsigned>(date.day()), static_cast<int>(date.year()) % 100);
}

/// Text for a quoted option: no quotes, no line breaks, printable ASCII.
std::string plain(const std::string& text) {
    std::string out;
    for (const char c : text) out += c >= ' ' && c <= '~' && c != '"' && c != '>' ? c : '_';
    return out;
}

std::string data_block(const std::string& heading, const StationCurve& station,
                       const std::function<double(const CurvePoint&)>& value) {
    std::string out = fmt::format(">{} //{}\n", heading, station.points.size());
    std::size_t column = 0;
    for (const CurvePoint& p : station.points) {
        out += fmt::format(" {: .9E}", value(p));
        if (++column % 5 == 0) out += '\n';
    }
    if (column % 5 != 0) out += '\n';
    return out;
}

struct Element {
    const char* name;
    Complex model::ground::ImpedanceTensor::*value;
};

/// What a reader has to know of the data, a line each.
std::string info_text(const Curve& curve, const StationCurve& station) {
    std::string info = "  SYNTHETIC DATA: computed, not measured. No noise.\n";
    info += fmt::format("  Survey: {}{}\n", plain(curve.survey_name),
                        curve.invented ? " (invented scenario)" : "");
    info += fmt::format("  Source: two loops, {} m from this station, which bears {} deg from them\n",
                        base::decimals(station.offset_m, 1), base::decimals(station.bearing_deg, 1));
    info += "  x true north, y east, z down, time factor e^{+i omega t}; Hz = TX Hx + TY Hy\n";
    info += "  Variances are those of the computation (1e-8 relative)\n";
    if (!station.latitude_deg || !station.longitude_deg)
        info += fmt::format("  Position not known in degrees; x {} m, y {} m in the plan's own plane\n",
                            base::decimals(station.x_m, 1), base::decimals(station.y_m, 1));
    if (!curve.date.ok()) info += "  Date not given in the plan\n";
    for (const CurvePoint& p : station.points)
        if (p.zone != model::ground::Zone::far_field)
            info += fmt::format("  {} Hz: {} of the source, not a plane wave\n",
                                base::brief(p.frequency_hz, 6), name_of(p.zone));
    return info;
}

}  // namespace

std::string edi_file_name(const StationCurve& station) {
    std::string name;
    for (const char c : station.station)
        name += std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '-' || c == '_' ? c : '_';
    return name + ".edi";
}

std::string edi_text(const Curve& curve, const StationCurve& station) {
    const std::string id = plain(station.station);
    const std::string latitude = degrees_text(station.latitude_deg.value_or(0));
    const std::string longitude = degrees_text(station.longitude_deg.value_or(0));
    const std::string date = edi_date(curve.date);

    std::string out = ">HEAD\n";
    out += fmt::format("  DATAID=\"{}\"\n  ACQBY=\"simulator\"\n  FILEBY=\"ampturn\"\n", id);
    out += fmt::format("  ACQDATE={0}\n  FILEDATE={0}\n  LAT={1}\n  LONG={2}\n  ELEV=0.0\n", date, latitude,
                       longitude);
    out += fmt::format(
        "  UNITS=M\n  STDVERS=\"SEG 1.0\"\n  PROGVERS=\"ampturn {} ({})\"\n  PROGDATE={}\n  MAXSECT=1\n"
        "  EMPTY=1.0E32\n\n",
        base::version(), base::git_hash(), date);

    const std::string info = info_text(curve, station);
    out += fmt::format(">INFO MAXINFO={}\n{}\n", std::count(info.begin(), info.end(), '\n'), info);

    out += fmt::format(
        ">=DEFINEMEAS\n  MAXCHAN=7\n  MAXRUN=999\n  MAXMEAS=99999\n  UNITS=M\n  REFTYPE=CART\n"
        "  REFLAT={}\n  REFLONG={}\n"
        "  REFELEV=0.0\n\n",
        latitude, longitude);
    const double half_m = station.dipole_m / 2;
    out += fmt::format(
        ">HMEAS ID=1001.001 CHTYPE=HX X=0.0 Y=0.0 AZM=0.0\n"
        ">HMEAS ID=1002.001 CHTYPE=HY X=0.0 Y=0.0 AZM=90.0\n"
        ">HMEAS ID=1003.001 CHTYPE=HZ X=0.0 Y=0.0 AZM=0.0\n"
        ">EMEAS ID=1004.001 CHTYPE=EX X={0:.2f} Y=0.0 X2={1:.2f} Y2=0.0\n"
        ">EMEAS ID=1005.001 CHTYPE=EY X=0.0 Y={0:.2f} X2=0.0 Y2={1:.2f}\n\n",
        -half_m, half_m);
    out += fmt::format(
        ">=MTSECT\n  SECTID=\"{}\"\n  NFREQ={}\n  HX=1001.001\n  HY=1002.001\n  HZ=1003.001\n"
        "  EX=1004.001\n  EY=1005.001\n\n",
        id, station.points.size());

    out += data_block("FREQ ORDER=DEC", station, [](const CurvePoint& p) { return p.frequency_hz; });
    out += data_block("ZROT", station, [](const CurvePoint&) { return 0.0; });
    constexpr double mv_per_km_nt = 1 / (1000 * model::mu0_h_per_m);  // of one ohm
    constexpr double relative_error = 1e-8;
    constexpr std::array elements{Element{"ZXX", &model::ground::ImpedanceTensor::xx_ohm},
                                  Element{"ZXY", &model::ground::ImpedanceTensor::xy_ohm},
                                  Element{"ZYX", &model::ground::ImpedanceTensor::yx_ohm},
                                  Element{"ZYY", &model::ground::ImpedanceTensor::yy_ohm}};
    for (const Element& element : elements) {
        const auto z = [&](const CurvePoint& p) { return mv_per_km_nt * (p.impedance.*element.value); };
        out += data_block(fmt::format("{}R ROT=ZROT", element.name), station,
                          [&](const CurvePoint& p) { return z(p).real(); });
        out += data_block(fmt::format("{}I ROT=ZROT", element.name), station,
                          [&](const CurvePoint& p) { return z(p).imag(); });
        // Relative to the tensor's size: the diagonal vanishes where an axis points at the source.
        out += data_block(fmt::format("{}.VAR ROT=ZROT", element.name), station, [&](const CurvePoint& p) {
            return std::pow(relative_error * mv_per_km_nt, 2) *
                   std::max(std::norm(p.impedance.xy_ohm), std::norm(p.impedance.yx_ohm));
        });
    }
    out += data_block("TROT", station, [](const CurvePoint&) { return 0.0; });
    for (const bool x : {true, false}) {
        const auto t = [x](const CurvePoint& p) { return x ? p.tipper_x : p.tipper_y; };
        const char* name = x ? "TX" : "TY";
        out += data_block(fmt::format("{}R.EXP ROT=TROT", name), station,
                          [&](const CurvePoint& p) { return t(p).real(); });
        out += data_block(fmt::format("{}I.EXP ROT=TROT", name), station,
                          [&](const CurvePoint& p) { return t(p).imag(); });
        out += data_block(fmt::format("{}VAR.EXP ROT=TROT", name), station,
                          [&](const CurvePoint&) { return relative_error * relative_error; });
    }
    return out + ">END\n";
}

}  // namespace ampturn::curve
