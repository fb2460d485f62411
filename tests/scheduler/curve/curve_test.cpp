#include "scheduler/curve/curve.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "model/base/constants.hpp"
#include "scheduler/curve/curve_output.hpp"
#include "scheduler/curve/edi.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/plan/plan.hpp"
#include "tests/paths.hpp"
#include "tests/scheduler/curve/edi_reader.hpp"

namespace curve_test {

using namespace ampturn;
using curve::Curve;

const Curve& quick() {
    static const Curve curve =
        curve::curve_of(plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"), {}));
    return curve;
}

TEST(Curve, ThreadsDoNotShow) {
    const plan::Plan plan = plan::file::load_plan(ampturn::test::source_path("demo/quick.toml"), {});
    EXPECT_EQ(curve::curve_json_text(curve::curve_of(plan, 3)), curve::curve_json_text(quick()));
}

TEST(Curve, FarStationApproachesThePlaneWaveAndTheNearOneDoesNot) {
    // Li & Pedersen (1991), Geophysics 56, 1456, and tests/reference/field/hmd_near_field_bias.csv: beyond
    // ten skin depths within 1 % and 1 degree over uniform ground; two layers here, so twice that.
    const curve::CurvePoint& far = quick().stations.at(1).points.front();
    ASSERT_GT(far.offset_over_skin_depth, 10);
    EXPECT_LT(std::abs(far.bias_xy.resistivity_rel), 0.03);
    EXPECT_LT(std::abs(far.bias_xy.phase_deg), 1);
    EXPECT_EQ(far.zone, model::ground::Zone::far_field);
    const curve::CurvePoint& near = quick().stations.at(0).points.back();
    ASSERT_LT(near.offset_over_skin_depth, 0.6);
    EXPECT_GT(near.xy.phase_deg, 70) << "towards 90 degrees near a magnetic source";
    EXPECT_LT(near.bias_xy.resistivity_rel, -0.5);
    EXPECT_EQ(near.zone, model::ground::Zone::near_field);
}

TEST(Curve, OnlyTheElementsAskedForDecideTheZone) {
    // Law: asking for both is asking for the worse of the two, point by point.
    const auto zones = [](const char* elements) {
        const plan::Plan plan = plan::file::load_plan(ampturn::test::source_path("demo/vesslarook.toml"),
                                                      {{"targets.elements", elements}});
        std::vector<model::ground::Zone> out;
        for (const auto& station : curve::curve_of(plan, 2).stations)
            for (const curve::CurvePoint& p : station.points) out.push_back(p.zone);
        return out;
    };
    const auto both = zones("[\"xy\", \"yx\"]"), xy = zones("[\"xy\"]"), yx = zones("[\"yx\"]");
    EXPECT_NE(xy, yx);
    for (std::size_t i = 0; i < both.size(); ++i) EXPECT_EQ(both[i], std::max(xy[i], yx[i])) << i;
}

TEST(Curve, TablesHoldEveryPoint) {
    const std::string csv = curve::curve_csv(quick());
    EXPECT_EQ(std::count(csv.begin(), csv.end(), '\n'), 1 + 2 * 4);
    const auto json = nlohmann::json::parse(curve::curve_json_text(quick()));
    EXPECT_EQ(json["stations"].size(), 2u);
    EXPECT_EQ(json["stations"][0]["points"].size(), 4u);
    EXPECT_TRUE(json["invented"].get<bool>());
    const std::string text = curve::curve_text(quick());
    EXPECT_NE(text.find("invented scenario"), std::string::npos);
    EXPECT_NE(text.find("transition"), std::string::npos);
    const std::string svg = curve::curve_svg(quick());
    EXPECT_EQ(svg.find("nan"), std::string::npos);
    EXPECT_NE(svg.find("</svg>"), std::string::npos);
}

TEST(Edi, ReadsBackStrictlyAndHoldsTheCurve) {
    // Identity: the file holds the curve's numbers, in the published handbook unit.
    for (const curve::StationCurve& station : quick().stations) {
        const EdiFile edi(curve::edi_text(quick(), station));
        EXPECT_EQ(edi.option(">HEAD", "DATAID"), station.station);
        EXPECT_NE(edi.info().find("SYNTHETIC"), std::string::npos);
        EXPECT_NE(edi.info().find("invented"), std::string::npos);
        for (std::size_t i = 0; i < station.points.size(); ++i) {
            const curve::CurvePoint& p = station.points[i];
            EXPECT_NEAR(edi.data(">FREQ")[i], p.frequency_hz, 1e-8 * p.frequency_hz);
            // Handbook unit of the standard, (mV/km)/nT: rho = 0.2 |Z|^2 / f exactly as mu0 = 4 pi 1e-7.
            const std::complex<double> xy(edi.data(">ZXYR")[i], edi.data(">ZXYI")[i]);
            const std::complex<double> yx(edi.data(">ZYXR")[i], edi.data(">ZYXI")[i]);
            EXPECT_NEAR(0.2 * std::norm(xy) / p.frequency_hz, p.xy.apparent_resistivity_ohm_m,
                        1e-8 * p.xy.apparent_resistivity_ohm_m);
            EXPECT_NEAR(std::arg(xy) * 180 / model::pi, p.xy.phase_deg, 1e-6);
            EXPECT_LT(std::arg(yx), -model::pi / 2)
                << "phase of Zyx in the third quadrant with e^{+i omega t}";
            EXPECT_GT(edi.data(">ZXY.VAR")[i], 0);
            EXPECT_NEAR(edi.data(">TXR.EXP")[i], p.tipper_x.real(), 1e-8);
        }
    }
}

TEST(Edi, StrictReaderRefusesDamage) {
    const std::string good = curve::edi_text(quick(), quick().stations[0]);
    auto damaged = [&](const std::string& from, const std::string& to) {
        std::string text = good;
        text.replace(text.find(from), from.size(), to);
        return text;
    };
    EXPECT_NO_THROW(EdiFile{good});
    EXPECT_THROW(EdiFile(damaged(">FREQ ORDER=DEC //4", ">FREQ ORDER=DEC //5")), std::exception);
    EXPECT_THROW(EdiFile(damaged(">END", ">FIN")), std::exception);
    EXPECT_THROW(EdiFile(damaged("  LAT=", "  LOT=")), std::exception);
    EXPECT_THROW(EdiFile(damaged(">ZYX.VAR", ">ZYX.VOR")), std::exception);
    EXPECT_THROW(EdiFile(damaged("NFREQ=4", "NFREQ=3")), std::exception);
}

TEST(Edi, FileNamesAreSafe) {
    curve::StationCurve station{};
    station.station = "../a b/ö";
    EXPECT_EQ(curve::edi_file_name(station).find_first_not_of(
                  "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_."),
              std::string::npos);
    EXPECT_EQ(curve::edi_file_name(station).find('/'), std::string::npos);
}

}  // namespace curve_test
