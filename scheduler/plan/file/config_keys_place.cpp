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
    keys.text("name", &Survey::name, {.help = "Name of the survey.", .required = true})
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
        .whole("sweeps", &StationInput::sweeps, {.min = 1, .max = 100},
               {.help = "How often the sweep is run for this station."})
        .numbers("required_frequencies_hz", &StationInput::required_frequencies_hz,
                 {.unit = "Hz", .min = 1, .max = 1e6}, {1, 64},
                 {.help = "Frequencies of the sweep that must meet the targets here; "
                          "the others are judged but do not fail the plan.",
                  .when_absent = "all of the sweep"})
        .number("set_up_min", &StationInput::set_up_min, {.unit = "min", .min = 0, .max = 600},
                {.help = "Time to set up the receiver here.", .when_absent = "day.receiver_set_up_min"})
        .number("mains_b_nt", &StationInput::mains_b_nt, {.unit = "nT", .min = 0, .max = 1e4},
                {.help = "Mains field here, rms of the fundamental.", .when_absent = "noise.mains_b_nt"})
        .number("contact_resistance_ohm", &StationInput::contact_resistance_ohm,
                {.unit = "ohm", .min = 1, .max = 1e7},
                {.help = "Contact resistance of each electric dipole here, both electrodes in series.",
                 .when_absent = "receiver.contact_resistance_ohm"});
    return keys;
}

}  // namespace ampturn::plan::file
