#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <iomanip>
#include <sstream>
#include <string>
#include <vector>

#include "model/transmitter/battery.hpp"
#include "model/transmitter/plant.hpp"
#include "model/transmitter/thermal.hpp"
#include "tests/model/transmitter/example_transmitter.hpp"
#include "tests/model/transmitter/simulated_network.hpp"
#include "tests/outside_check.hpp"

// Independent: heat and charge as electrical networks in a circuit simulator stepping through time. Its own error is
// what lies between a run and one of half the step; twice that is allowed, and besides 5e-6
// of the scale, or what our own steps may be off by.
namespace ngspice_networks_test {

using namespace ampturn::model::transmitter;
using ampturn::test::Held;
using ampturn::test::held_source;
using ampturn::test::OutsideCheck;
using ampturn::test::simulate_network;
using ampturn::test::Waveforms;

const char* const source = "ngspice: a network stepped through time, its step halved for its own error";

/// A value of the network in both runs against ours; `scale` is what errors are relative to.
void compare(OutsideCheck& check, double ours, const Waveforms& coarse, const Waveforms& fine,
             const std::function<double(const Waveforms&)>& value, double scale, const std::string& where,
             double besides = 5e-6) {
    const double finer = value(fine), own = std::abs(value(coarse) - finer) / scale;
    EXPECT_LT(own, 1e-3) << where << ": the simulator itself is unsure";
    check.error(std::abs(ours - finer) / scale, 2 * own + besides, where);
}

TEST(NetworksAgainstNgspice, HeatOfWindingAndElectronics) {
    if (!ampturn::test::has_ngspice()) GTEST_SKIP() << "ngspice is not installed";
    OutsideCheck check("heat of winding and electronics", source, "of 100 K");
    struct Nodes {
        const char* what;
        ThermalNodes nodes;
    };
    const double air_c = 12;
    // rms current held from each time on; the last time ends it.
    const std::vector<Held> current{{0, 9}, {400, 0}, {600, 14}, {1100, 3}, {2400, 0}};
    const double end = 3000;
    for (const Nodes& n :
         {Nodes{"linked", {900, 350, 1.2, 2.2, 6}}, Nodes{"apart", {2250, 400, 0.4, 1.8, no_link}},
          Nodes{"closely linked", {500, 500, 0.9, 3, 0.5}}}) {
        std::ostringstream net;
        net << std::setprecision(15) << held_source("vi", "i 0", current, end) << "va a 0 " << air_c
            << "\ncw w 0 " << n.nodes.winding_j_per_k << " ic=31\nce e 0 " << n.nodes.electronics_j_per_k
            << " ic=22\nrwa w a " << n.nodes.winding_ambient_k_per_w << "\nrea e a "
            << n.nodes.electronics_ambient_k_per_w << "\n";
        if (n.nodes.winding_electronics_k_per_w != no_link)
            net << "rwe w e " << n.nodes.winding_electronics_k_per_w << "\n";
        net << "bw 0 w i=v(i)*v(i)*0.4*(1+0.00393*(v(w)-20))+1.5\n"
               "be 0 e i=2+v(i)*v(i)*0.012*(1+0.005*(v(e)-25))\n";
        const Waveforms coarse = simulate_network(net.str(), {"w", "e"}, end, 2);
        const Waveforms fine = simulate_network(net.str(), {"w", "e"}, end, 1);
        Temperatures now{31, 22};
        for (std::size_t i = 0; i < current.size(); ++i) {
            const double until = i + 1 < current.size() ? current[i + 1].from : end;
            const HeatInput heat{current[i].value, 0.4, 0.00393, 0.012, 0.005, 1.5, 2};
            const Temperatures from = now;
            now = after_heating(n.nodes, heat, air_c, from, until - current[i].from);
            const std::string at =
                std::string(n.what) + ", after " + std::to_string(static_cast<int>(until)) + " s";
            // Just before the edge, which takes the simulator a little time.
            const double t = until - 1e-6 * end;
            const Temperatures before = after_heating(n.nodes, heat, air_c, from, t - current[i].from);
            compare(
                check, before.winding_c, coarse, fine, [&](const Waveforms& w) { return w.at(0, t); }, 100,
                at + ": winding");
            compare(
                check, before.electronics_c, coarse, fine, [&](const Waveforms& w) { return w.at(1, t); },
                100, at + ": electronics");
        }
        // Where the first pulse warms the winding: to a limit halfway up.
        const HeatInput first{9, 0.4, 0.00393, 0.012, 0.005, 1.5, 2};
        const double limit_c =
            31 + 0.5 * (after_heating(n.nodes, first, air_c, {31, 22}, 400).winding_c - 31);
        if (limit_c < 31) continue;
        const auto passes_s =
            time_to_limit_s(n.nodes, first, air_c, {31, 22}, HeatNode::winding, limit_c, 400);
        ASSERT_TRUE(passes_s) << n.what;
        compare(
            check, *passes_s, coarse, fine, [&](const Waveforms& w) { return w.reaches(0, limit_c); }, 400,
            std::string(n.what) + ": time to a limit, of 400 s");
    }
}

TEST(NetworksAgainstNgspice, WellsOfABattery) {
    if (!ampturn::test::has_ngspice()) GTEST_SKIP() << "ngspice is not installed";
    OutsideCheck check("charge of a battery's two wells", source, "of the capacity");
    // Ampere-hours as coulombs and hours as seconds: a well of width c is a capacitor, its height a voltage.
    const std::vector<Held> current{{0, 12}, {0.8, 0}, {2.1, 5}, {3.5, -4}, {5, 20}, {5.4, 0}};
    const double end = 8;
    for (const KineticWells& w :
         {KineticWells{52, 0.35, 0.8}, KineticWells{40, 0.15, 3}, KineticWells{60, 0.6, 0.1}}) {
        const double c = w.available_fraction, full = w.capacity_ah;
        std::ostringstream net;
        net << std::setprecision(15) << held_source("ii", "h1 0", current, end) << "c1 h1 0 " << c
            << " ic=" << full << "\nc2 h2 0 " << 1 - c << " ic=" << full << "\nrk h1 h2 "
            << 1 / (w.rate_per_h * c * (1 - c)) << "\n";
        const Waveforms coarse = simulate_network(net.str(), {"h1", "h2"}, end, 0.01);
        const Waveforms fine = simulate_network(net.str(), {"h1", "h2"}, end, 0.005);
        BatteryCharge now = charge_at_soc(w, 1);
        for (std::size_t i = 0; i < current.size(); ++i) {
            const double until = (i + 1 < current.size() ? current[i + 1].from : end) - 1e-6 * end;
            const BatteryCharge before =
                after_constant_current(w, now, current[i].value, 3600 * (until - current[i].from));
            std::ostringstream at;
            at << "c " << c << ", k " << w.rate_per_h << " per h, after " << until << " h";
            compare(
                check, before.available_ah, coarse, fine,
                [&](const Waveforms& v) { return c * v.at(0, until); }, full, at.str() + ": available");
            compare(
                check, before.bound_ah, coarse, fine,
                [&](const Waveforms& v) { return (1 - c) * v.at(1, until); }, full, at.str() + ": bound");
            if (i + 1 < current.size())
                now = after_constant_current(w, now, current[i].value,
                                             3600 * (current[i + 1].from - current[i].from));
        }
    }
}

TEST(NetworksAgainstNgspice, ABatteryUnderConstantPowerUntilItsCutOff) {
    if (!ampturn::test::has_ngspice()) GTEST_SKIP() << "ngspice is not installed";
    OutsideCheck check("time to cut-off and volts of a battery under constant power", source);
    constexpr double plant_steps = 3e-4;  // the plant moves in steps within which volts change little
    for (const Chemistry chemistry : {Chemistry::lead_agm, Chemistry::lifepo4})
        for (const double power_w : {30.0, 150.0, 400.0}) {
            TransmitterDesign design = example_design();
            design.battery = {.block = typical_block(chemistry, 12, 40), .series = 2, .parallel = 1};
            design.idle_w = 0;
            const BatteryBlock& b = design.battery.block;
            const KineticWells w = wells(design.battery, 25);
            const double cells = 2.0 * b.cells, c = w.available_fraction,
                         cut_off_v = cells * b.cutoff_v_per_cell;
            // Written down anew from the description of the terminals: E of the table less the knee, R by charge.
            std::ostringstream net;
            net << std::setprecision(15) << "c1 h1 0 " << c << " ic=" << w.capacity_ah << "\nc2 h2 0 "
                << 1 - c << " ic=" << w.capacity_ah << "\nrk h1 h2 " << 1 / (w.rate_per_h * c * (1 - c))
                << "\nbs s 0 v=";
            if (b.soc_for_voltage == SocForVoltage::available)
                net << "max(0,v(h1)/" << w.capacity_ah << ")\n";
            else
                net << "max(0,(" << c << "*v(h1)+" << 1 - c << "*v(h2))/" << w.capacity_ah << ")\n";
            net << "be e 0 v=" << cells << "*(pwl(v(s)";
            for (std::size_t i = 0; i < b.ocv_soc.size(); ++i)
                net << "," << b.ocv_soc[i] << "," << b.ocv_v_per_cell[i];
            net << ")-" << b.knee_v_per_cell << "*exp(-v(s)/" << b.knee_soc
                << "))\nbr r 0 v=" << cells * b.r25_ohm_per_cell << "*(1+" << b.r_soc_coeff
                << "*(1-v(s))*(1-v(s)))\nbi i 0 v=2*" << power_w << "/max(1,v(e)+sqrt(max(0,v(e)*v(e)-4*v(r)*"
                << power_w << ")))\nbl h1 0 i=v(i)\nbt t 0 v=v(e)-v(i)*v(r)\n";
            const Transmitter transmitter = prepare(design);
            PlantState state = plant_at_rest(transmitter, 25);
            state.faults.battery_leakage_w = power_w;
            const Drive off{.ambient_c = 25, .battery_ambient_c = 25};
            // Volts on the way, then the time at which they reach the cut-off.
            const double longest_s = 3600 * w.capacity_ah * 2 * 14 / power_w;
            double t_s = 0;
            std::vector<std::pair<double, double>> volts;
            bool reached = false;
            std::optional<Crossing> why;
            while (!reached && t_s < longest_s) {
                const PlantResult step = advance(transmitter, state, off, longest_s / 40);
                t_s += step.advanced_s;
                why = step.crossing;
                reached = why.has_value();
                if (!reached) volts.emplace_back(t_s / 3600, step.end.battery_v);
            }
            ASSERT_TRUE(reached) << power_w;
            ASSERT_EQ(*why, Crossing::battery_cutoff) << name_of(*why);
            const double end = t_s / 3600 * 1.001;
            const auto run = [&](double step) { return simulate_network(net.str(), {"t"}, end, step); };
            const Waveforms coarse = run(end / 2000), fine = run(end / 4000);
            const std::string at =
                std::string(chemistry == Chemistry::lead_agm ? "lead-acid" : "lithium iron phosphate") +
                ", " + std::to_string(static_cast<int>(power_w)) + " W";
            compare(
                check, t_s / 3600, coarse, fine, [&](const Waveforms& v) { return v.reaches(0, cut_off_v); },
                end, at + ": time to cut-off", plant_steps);
            for (const auto& [hours, v] : volts)
                compare(
                    check, v, coarse, fine, [&, h = hours](const Waveforms& n) { return n.at(0, h); },
                    cut_off_v, at + ", after " + std::to_string(hours) + " h: volts", plant_steps);
        }
}

}  // namespace ngspice_networks_test
