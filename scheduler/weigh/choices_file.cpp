#include "scheduler/weigh/choices_file.hpp"

#include <fmt/format.h>

#include "scheduler/plan/explain/key_reference.hpp"
#include "scheduler/plan/file/config.hpp"
#include "scheduler/plan/file/config_keys.hpp"
#include "scheduler/plan/file/config_schema.hpp"
#include "scheduler/plan/tree/config_toml.hpp"

namespace ampturn::weigh {

namespace {

using namespace plan::file;
using namespace plan::tree;

constexpr std::string_view assumed = "common practice, no source";
constexpr CountRange few{1, 32};

Section<Winding> winding_keys() {
    Section<Winding> keys;
    keys.whole("turns", &Winding::turns, {.min = 1, .max = 1000}, {.help = "Turns wound.", .required = true})
        .wholes("taps", &Winding::taps, {.min = 1, .max = 999}, {1, 7},
                {.help = "Turns in use that can be chosen besides all of them, rising.",
                 .when_absent = "no taps"});
    return keys;
}

Section<WireChoice> wire_keys() {
    Section<WireChoice> keys;
    keys.number("area_mm2", &WireChoice::area_mm2, {.unit = "mm2", .min = 0.01, .max = 500},
                {.help = "Section of the metal.", .required = true})
        .choice("conductor", &WireChoice::conductor, conductor_words(), {.help = "Metal of the wire."})
        .number(
            "insulation_thickness_mm", &WireChoice::insulation_thickness_mm,
            {.unit = "mm", .min = 0, .max = 20},
            {.help = "Of the insulation; turns are at least an insulated diameter apart.", .source = assumed})
        .number("insulation_kg_per_m3", &WireChoice::insulation_kg_per_m3,
                {.unit = "kg/m3", .min = 0, .max = 5000},
                {.help = "Density of the insulation.", .source = "PVC; common practice, no source"})
        .number("kg_per_m", &WireChoice::kg_per_m,
                {.unit = "kg/m", .min = 0, .max = 20, .min_excluded = true},
                {.help = "Weight of the wire, from its data sheet.", .when_absent = "metal and insulation"})
        .number(
            "rated_v_rms", &WireChoice::rated_v_rms, {.unit = "V", .min = 1, .max = 1e5},
            {.help = "What the insulation stands to ground.", .when_absent = "not held against anything"});
    return keys;
}

Section<LoopSizes> size_keys() {
    Section<LoopSizes> keys;
    keys.numbers("side_m", &LoopSizes::side_m, {.unit = "m", .min = 0, .max = 1000, .min_excluded = true},
                 few,
                 {.help = "Side of loop A, where its shape has one; loop B grows by as much.",
                  .when_absent = "the plan's"})
        .numbers("factor", &LoopSizes::factor, {.min = 0.01, .max = 100}, few,
                 {.help = "Times every length of the plan's loops, whatever their shape.",
                  .when_absent = "the plan's"})
        .rule([](const LoopSizes& sizes, const Value& table, const std::string& key, Problems& problems) {
            if (!sizes.side_m.empty() && !sizes.factor.empty())
                problems.add(table, key + ".factor", "side_m and factor", "one of the two");
        });
    return keys;
}

Section<DriverChoices> driver_keys_of_choices() {
    Section<DriverChoices> keys;
    keys.numbers("bus_v", &DriverChoices::bus_v, {.unit = "V", .min = 1, .max = 2000}, few,
                 {.help = "Bus volts of the converter; the plan's driver.supply is \"dc_dc\" then.",
                  .when_absent = "the plan's"});
    return keys;
}

Section<BatteryChoice> battery_keys_of_choices() {
    const Words<Packed> packings{{Packed::alone, "alone"}, {Packed::with_equipment, "with_equipment"}};
    constexpr NumberRange weight{.unit = "kg", .min = 0, .max = 1000, .min_excluded = true};
    Section<BatteryChoice> keys;
    keys.choice("chemistry", &BatteryChoice::chemistry, chemistry_words(),
                {.help = "As in a plan.", .required = true})
        .number("capacity_ah", &BatteryChoice::capacity_ah,
                {.unit = "A h", .min = 0, .max = 10'000, .min_excluded = true},
                {.help = "Of one battery, in the plan's battery.rated_hours.", .required = true})
        .whole("cells_series", &BatteryChoice::cells_series, {.min = 1, .max = 400},
               {.help = "Cells in series in one battery.", .when_absent = "by chemistry, as in a plan"})
        .whole("in_series", &BatteryChoice::in_series, {.min = 1, .max = 50},
               {.help = "Batteries in series in one set."})
        .whole("in_parallel", &BatteryChoice::in_parallel, {.min = 1, .max = 50},
               {.help = "Strings in parallel in one set."})
        .whole("sets_carried", &BatteryChoice::sets_carried, {.min = 1, .max = 50}, {.help = "Sets carried."})
        .number("cut_off_cell_v", &BatteryChoice::cut_off_cell_v, {.unit = "V", .min = 1, .max = 4},
                {.help = "Cut-off of one cell, under load.",
                 .source = assumed,
                 .when_absent = "by chemistry: 1.75 lead-acid, 2.8 lifepo4"})
        .number("kg", &BatteryChoice::kg, weight,
                {.help = "Weight of one battery.", .when_absent = "its watt-hours over wh_per_kg"})
        .number("wh_per_kg", &BatteryChoice::wh_per_kg, {.unit = "Wh/kg", .min = 1, .max = 500},
                {.help = "Watt-hours a kilogram.",
                 .source = assumed,
                 .when_absent = "by chemistry: 35 flooded, 32 agm, 100 lifepo4"})
        .choice("packed", &BatteryChoice::packed, packings,
                {.help = "How a lithium battery travels: alone, or with or in the equipment it feeds."})
        .rule([](const BatteryChoice& b, const Value& table, const std::string& key, Problems& problems) {
            if (b.kg && b.wh_per_kg)
                problems.add(table, key + ".wh_per_kg", "kg and wh_per_kg", "one of the two");
        });
    return keys;
}

Section<StockCapacitor> stock_keys() {
    Section<StockCapacitor> keys;
    keys.text("name", &StockCapacitor::name, {.help = "What it is called in the results.", .required = true},
              60)
        .number("capacitance_f", &StockCapacitor::capacitance_f,
                {.unit = "F", .min = 0, .max = 0.1, .min_excluded = true},
                {.help = "Of one.", .required = true})
        .number("rated_v_peak", &StockCapacitor::rated_v_peak,
                {.unit = "V", .min = 0, .max = 1e5, .min_excluded = true},
                {.help = "Peak volts that one stands at these frequencies.", .required = true})
        .number("kg", &StockCapacitor::kg, {.unit = "kg", .min = 0, .max = 100},
                {.help = "Weight of one.", .required = true})
        .whole("count", &StockCapacitor::count, {.min = 1, .max = 100},
               {.help = "How many there are.", .required = true});
    return keys;
}

Section<Piece> piece_keys() {
    Section<Piece> keys;
    keys.text("name", &Piece::name, {.help = "What it is.", .required = true}, 60)
        .number("kg", &Piece::kg, {.unit = "kg", .min = 0, .max = 1000}, {.help = "Weight of one."})
        .number("kg_per_m", &Piece::kg_per_m, {.unit = "kg/m", .min = 0, .max = 100},
                {.help = "Of one, besides: for each metre of the perimeter of loop A (a frame)."})
        .whole("count", &Piece::count, {.min = 1, .max = 100}, {.help = "How many are carried."});
    return keys;
}

Section<Search> search_keys() {
    const Words<MomentOf> moments{{MomentOf::worst, "worst"}, {MomentOf::geometric_mean, "geometric_mean"}};
    const Words<WattHours> watt_hours{{WattHours::used, "used"}, {WattHours::carried, "carried"}};
    const Words<Choose> rules{{Choose::moment_per_kg, "moment_per_kg"},
                              {Choose::most_moment, "most_moment"},
                              {Choose::least_weight, "least_weight"},
                              {Choose::least_watt_hours, "least_watt_hours"}};
    Section<Search> keys;
    keys.numbers(
            "frequencies_hz", &Search::frequencies_hz,
            {.unit = "Hz", .min = 0, .max = 1e6, .min_excluded = true}, few,
            {.help = "Where the moment counts, on both loops.", .when_absent = "those of the plan's sweep"})
        .choice("moment", &Search::moment, moments,
                {.help = "Of these frequencies and both loops: the worst moment, or the geometric mean."})
        .choice("watt_hours", &Search::watt_hours, watt_hours,
                {.help = "What is to be small besides weight: watt-hours that sending_h takes from the "
                         "battery, or watt-hours carried."})
        .number("sending_h", &Search::sending_h, {.unit = "h", .min = 0, .max = 1000, .min_excluded = true},
                {.help = "Hours of sending that the batteries carried are for, each frequency as long."})
        .choice("choose", &Search::choose, rules, {.help = "Which sender of the front is shown in full."})
        .whole("bank_positions", &Search::bank_positions, {.min = 0, .max = 6},
               {.help = "Capacitors, joined ones counted as one, that the unit can switch to."})
        .whole("in_series_max", &Search::in_series_max, {.min = 1, .max = 10},
               {.help = "Capacitors of one kind joined in series, at most."})
        .whole("in_parallel_max", &Search::in_parallel_max, {.min = 1, .max = 10},
               {.help = "Such strings in parallel, at most."})
        .whole("banks_max", &Search::banks_max, {.min = 10, .max = 1'000'000},
               {.help = "Banks tried for one loop, driver and battery. Where there are more, capacitors that "
                        "are not among the best at any frequency are left out, and the result says so."});
    return keys;
}

Section<Limits> limit_keys() {
    Section<Limits> keys;
    keys.number("weight_kg", &Limits::weight_kg, {.unit = "kg", .min = 0, .max = 1e5, .min_excluded = true},
                {.help = "All that is carried.", .when_absent = "no limit"})
        .number("load_kg", &Limits::load_kg, {.unit = "kg", .min = 1, .max = 50},
                {.help = "What one person carries at a time.", .source = assumed})
        .whole("loads", &Limits::loads, {.min = 1, .max = 10'000},
               {.help = "Loads of at most load_kg.", .when_absent = "no limit"})
        .number("capacitor_v_peak", &Limits::capacitor_v_peak, {.unit = "V", .min = 1, .max = 1e5},
                {.help = "Peak volts over the joined capacitor; the drive is lowered to it.",
                 .when_absent = "the capacitors' own rating"})
        .number("winding_c", &Limits::winding_c, {.unit = "C", .min = 20, .max = 300},
                {.help = "Winding, sent for ever; the drive is lowered to it.",
                 .when_absent = "the plan's thermal.winding_limit_c, which holds in any case"})
        .number("electronics_c", &Limits::electronics_c, {.unit = "C", .min = 20, .max = 200},
                {.help = "Electronics, sent for ever; the drive is lowered to it.",
                 .when_absent = "the plan's thermal.electronics_limit_c, which holds in any case"})
        .number("least_moment_a_m2", &Limits::least_moment_a_m2, {.unit = "A m2", .min = 0, .max = 1e9},
                {.help = "Less does not serve.", .when_absent = "no limit"});
    return keys;
}

const Section<Choices>& choices_keys() {
    static const Section<Choices> all = [] {
        Section<Choices> keys;
        keys.table("search", &Choices::search, search_keys(), {.help = "What is looked for."})
            .table("limits", &Choices::limits, limit_keys(), {.help = "What no sender may pass."})
            .table("loop", &Choices::loop, size_keys(), {.help = "Sizes of the loops."})
            .table("driver", &Choices::driver, driver_keys_of_choices(), {.help = "Volts of the driver."})
            .tables("winding", &Choices::windings, winding_keys(), few,
                    {.help = "Windings to choose from, the same on both loops."})
            .tables("wire", &Choices::wires, wire_keys(), few, {.help = "Wires to choose from."})
            .tables("battery", &Choices::batteries, battery_keys_of_choices(), few,
                    {.help = "Batteries to choose from."})
            .tables("capacitor", &Choices::capacitors, stock_keys(), few,
                    {.help = "Capacitors in stock, a kind each. Without any the loops are untuned."})
            .tables("piece", &Choices::pieces, piece_keys(), {1, 50},
                    {.help = "What is carried besides: masts, frame, kit."});
        return keys;
    }();
    return all;
}

}  // namespace

base::InputError Choices::error(const std::string& key, std::string found, std::string allowed) const {
    return base::InputError({path, positions.of(key), key, std::move(found), std::move(allowed)});
}

Choices parse_choices(std::string_view text, const std::string& path) {
    const Value root = parse_toml(text, path);
    Problems problems(path);
    Choices choices;
    choices_keys().read(root, "", choices, problems);
    problems.throw_if_any();
    choices.path = path;
    choices.positions = positions_of(root);
    return choices;
}

std::string choices_markdown() {
    std::string out;
    for (const KeyInfo& section : choices_keys().infos())
        out += fmt::format("\n`{}`: {}\n\n{}",
                           section.repeated ? "[[" + section.name + "]]" : "[" + section.name + "]",
                           section.help, plan::explain::key_table_markdown(section.children));
    return out;
}

}  // namespace ampturn::weigh
