#include "scheduler/plan/file/config_keys.hpp"

namespace ampturn::plan::file {

namespace {

constexpr NumberRange latitude{.unit = "deg", .min = -89, .max = 89};
constexpr NumberRange longitude{.unit = "deg", .min = -180, .max = 180};
constexpr NumberRange local_m{.unit = "m", .min = -200'000, .max = 200'000};
constexpr NumberRange azimuth{.unit = "deg", .min = -360, .max = 360};

}  // namespace

Section<Survey> survey_keys() {
    Section<Survey> keys;
    keys.text("plan_version", &Survey::plan_version,
              {.help = "Version of the plan file: 0.1. A file of another version is refused as a whole.",
               .when_absent = plan_version})
        .text("name", &Survey::name, {.help = "Name of the survey.", .required = true})
        .yes_no("invented", &Survey::invented,
                {.help = "An invented scenario; every report then says so at its top."})
        .text("notes", &Survey::notes, {.help = "Free text for the report.", .when_absent = "none"}, 2000)
        .text("operator_name", &Survey::operator_name,
              {.help = "Who plans, for the log sheet.", .when_absent = "left blank"})
        .date("date", &Survey::date, {.help = "Day of the survey.", .when_absent = "left blank"})
        .number("utc_offset_h", &Survey::utc_offset_h, {.unit = "h", .min = -12, .max = 14},
                {.help = "Local time minus UTC."})
        .number("declination_deg", &Survey::declination_deg, {.unit = "deg", .min = -180, .max = 180},
                {.help = "Magnetic declination, east positive; only used to print compass bearings. "
                         "All azimuths in the file are from true north."});
    return keys;
}

Section<SiteInput> site_keys() {
    Section<SiteInput> keys;
    keys.text("name", &SiteInput::name, {.help = "Name, unique in the plan.", .required = true}, 40)
        .number("latitude_deg", &SiteInput::latitude_deg, latitude,
                {.help = "Geodetic latitude, WGS84, north positive.", .when_absent = "x_m and y_m instead"})
        .number("longitude_deg", &SiteInput::longitude_deg, longitude,
                {.help = "Longitude, WGS84, east positive.", .when_absent = "x_m and y_m instead"})
        .number("x_m", &SiteInput::x_m, local_m,
                {.help = "Local northing.", .when_absent = "latitude and longitude instead"})
        .number("y_m", &SiteInput::y_m, local_m,
                {.help = "Local easting.", .when_absent = "latitude and longitude instead"})
        .number("loop_a_azimuth_deg", &SiteInput::loop_a_azimuth_deg, azimuth,
                {.help = "Azimuth of loop A's normal at this site.", .when_absent = "loop.a.azimuth_deg"})
        .number("loop_b_azimuth_deg", &SiteInput::loop_b_azimuth_deg, azimuth,
                {.help = "Azimuth of loop B's normal at this site.", .when_absent = "loop.b.azimuth_deg"});
    return keys;
}

Section<StationInput> station_keys() {
    Section<StationInput> keys;
    keys.text("name", &StationInput::name, {.help = "Name, unique in the plan.", .required = true}, 40)
        .text("site", &StationInput::site,
              {.help = "Site that sends for this station.", .when_absent = "the first site"}, 40)
        .number("latitude_deg", &StationInput::latitude_deg, latitude,
                {.help = "Geodetic latitude, WGS84, north positive.", .when_absent = "another way is used"})
        .number("longitude_deg", &StationInput::longitude_deg, longitude,
                {.help = "Longitude, WGS84, east positive.", .when_absent = "another way is used"})
        .number("x_m", &StationInput::x_m, local_m,
                {.help = "Local northing.", .when_absent = "another way is used"})
        .number("y_m", &StationInput::y_m, local_m,
                {.help = "Local easting.", .when_absent = "another way is used"})
        .number("offset_m", &StationInput::offset_m, {.unit = "m", .min = 0, .max = 20'000},
                {.help = "Distance from the site to the station; must lie outside the loops.",
                 .when_absent = "worked out from the coordinates on the WGS84 ellipsoid"})
        .number("bearing_deg", &StationInput::bearing_deg, azimuth,
                {.help = "Bearing from the site to the station.",
                 .when_absent = "worked out from the coordinates on the WGS84 ellipsoid"})
        .text("crew", &StationInput::crew,
              {.help = "The [[receiver_crew]] that sets it up, by name.",
               .when_absent = "the first crew, or the only one"},
              40)
        .whole(
            "sweeps", &StationInput::sweeps, {.min = 1, .max = 100},
            {.help =
                 "How often the sweep is run for this station. Stations that listen together get as many as "
                 "the one of them that asks most."})
        .numbers("required_frequencies_hz", &StationInput::required_frequencies_hz,
                 {.unit = "Hz", .min = 1, .max = 1e6}, {1, 64},
                 {.help = "Frequencies of the sweep that must meet the targets here; "
                          "the others are judged but do not fail the plan.",
                  .when_absent = "all of the sweep"})
        .number("set_up_min", &StationInput::set_up_min, {.unit = "min", .min = 0, .max = 600},
                {.help = "Time to set up the receiver here.",
                 .when_absent = "its crew's, else day.receiver_set_up_min"})
        .number("mains_b_nt", &StationInput::mains_b_nt, {.unit = "nT", .min = 0, .max = 1e4},
                {.help = "Mains field here, rms of the fundamental.",
                 .when_absent = "noise.mains_b_nt and what [[power_line]] adds"})
        .number("contact_resistance_ohm", &StationInput::contact_resistance_ohm,
                {.unit = "ohm", .min = 1, .max = 1e7},
                {.help = "Contact resistance of each electric dipole here, both electrodes in series.",
                 .when_absent = "that of its sensors, else receiver.contact_resistance_ohm"})
        .text(
            "ground", &StationInput::ground,
            {.help =
                 "The [[ground]] it stands on, by name. Its fields and its plane wave are those of this ground "
                 "laid out sideways without end, under the loops too.",
             .when_absent = "[earth]"},
            40)
        .text(
            "sensors", &StationInput::sensors,
            {.help = "The [[sensors]] that are set up here, by name.", .when_absent = "those of [receiver]"},
            40)
        .text(
            "spectrum_csv", &StationInput::spectrum_csv,
            {.help =
                 "Own density of the horizontal natural field here, a file like that of noise.spectrum_csv.",
             .when_absent = "noise.spectrum_csv, else the model"})
        .number(
            "natural_azimuth_deg", &StationInput::natural_azimuth_deg,
            {.unit = "deg", .min = -360, .max = 360},
            {.help =
                 "Azimuth of the stronger horizontal part of the natural magnetic field here, from true north.",
             .when_absent = "noise.natural_azimuth_deg"})
        .tables(
            "interferer", &StationInput::interferers, interferer_keys(), {0, 100},
            {.help =
                 "A transmitter or machine that is heard here beside those of [noise]; the sweep keeps clear "
                 "of it at all stations.",
             .when_absent = "none but those of [noise]"});
    return keys;
}

Section<ReceiverCrew> receiver_crew_keys() {
    constexpr NumberRange minutes{.unit = "min", .min = 0, .max = 600};
    Section<ReceiverCrew> keys;
    keys.text("name", &ReceiverCrew::name, {.help = "Name, unique among receiver crews.", .required = true},
              40)
        .whole("people", &ReceiverCrew::people, {.min = 1, .max = 20},
               {.help = "Persons in this crew.", .when_absent = "day.crew_receiver"})
        .whole("sensor_sets", &ReceiverCrew::sensor_sets, {.min = 1, .max = 100},
               {.help = "Stations it can have standing at once."})
        .number("set_up_min", &ReceiverCrew::set_up_min, minutes,
                {.help = "Time it takes to set up a station.", .when_absent = "day.receiver_set_up_min"})
        .number("pack_up_min", &ReceiverCrew::pack_up_min, minutes,
                {.help = "Time it takes to pack up a station.", .when_absent = "day.receiver_pack_up_min"});
    return keys;
}

Section<PowerLineInput> power_line_keys() {
    constexpr CountRange points{2, 1000};
    Section<PowerLineInput> keys;
    keys.text("name", &PowerLineInput::name, {.help = "Name, unique among power lines.", .required = true},
              40)
        .points(
            "longitude_latitude_deg", &PowerLineInput::longitude_latitude_deg, longitude, points,
            {.help = "Its course on the map: points of longitude and latitude, WGS84, joined by geodesics.",
             .when_absent = "x_y_m instead"})
        .points("x_y_m", &PowerLineInput::x_y_m, local_m, points,
                {.help = "Its course in the local plane: points of northing and easting.",
                 .when_absent = "longitude_latitude_deg instead"})
        .number("mains_b_nt", &PowerLineInput::mains_b_nt, {.unit = "nT", .min = 0, .max = 1e5},
                {.help = "Horizontal mains field of the line at at_distance_m, rms of the fundamental.",
                 .required = true})
        .number("at_distance_m", &PowerLineInput::at_distance_m, {.unit = "m", .min = 10, .max = 10'000},
                {.help = "Distance from the line, along the ground, at which mains_b_nt holds.",
                 .required = true})
        .number(
            "fall_off_exponent", &PowerLineInput::fall_off_exponent, {.min = 0.5, .max = 3},
            {.help =
                 "Power of the distance by which the field falls: 1 for single-phase or unbalanced current, "
                 "2 for balanced three-phase current.",
             .source = "common practice, no source; 1 is H = I / (2 pi r) of a long straight current",
             .required = true});
    return keys;
}

}  // namespace ampturn::plan::file
