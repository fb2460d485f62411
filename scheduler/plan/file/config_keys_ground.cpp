#include <optional>

#include "scheduler/base/number_text.hpp"
#include "scheduler/plan/file/config_keys.hpp"

namespace ampturn::plan::file {

namespace {

Section<PolarisableLayer> polarisable_keys() {
    constexpr std::string_view pelton = "Pelton et al. (1978), Geophysics 43, 588-609";
    Section<PolarisableLayer> keys;
    keys.whole("layer", &PolarisableLayer::layer, {.min = 1, .max = 64},
               {.help = "Which layer, counted from 1 at the top.", .required = true})
        .number("chargeability", &PolarisableLayer::chargeability, {.min = 0, .max = 0.99},
                {.help = "m of the Cole-Cole model; "
                         "the layer's resistivity_ohm_m is the one at zero frequency.",
                 .source = pelton,
                 .required = true})
        .number("time_constant_s", &PolarisableLayer::time_constant_s,
                {.unit = "s", .min = 0, .max = 1e4, .min_excluded = true},
                {.help = "tau of the Cole-Cole model.", .source = pelton, .required = true})
        .number("exponent", &PolarisableLayer::exponent, {.min = 0.05, .max = 1},
                {.help = "c of the Cole-Cole model.", .source = pelton, .required = true});
    return keys;
}

/// Of a ground, with or without a name.
template <class T>
void add_ground_keys(Section<T>& keys) {
    constexpr CountRange layers{1, 64};
    keys.numbers("resistivity_ohm_m", &GroundInput::resistivity_ohm_m,
                 {.unit = "ohm m", .min = 1e-3, .max = 1e6}, layers,
                 {.help = "One entry a layer, from the top; horizontal resistivity when anisotropic.",
                  .required = true})
        .numbers("thickness_m", &GroundInput::thickness_m,
                 {.unit = "m", .min = 0, .max = 1e5, .min_excluded = true}, {0, 63},
                 {.help = "One entry a layer without the last, which has no lower end.",
                  .when_absent = "only for a single layer"})
        .numbers("relative_permittivity", &GroundInput::relative_permittivity, {.min = 1, .max = 100}, layers,
                 {.help = "One entry a layer.",
                  .source = "common practice, no source: 3 to 8 for dry rock, 10 to 40 for wet soil",
                  .when_absent = "10 for every layer"})
        .numbers("relative_permeability", &GroundInput::relative_permeability, {.min = 0.5, .max = 100},
                 layers, {.help = "One entry a layer.", .when_absent = "1 for every layer"})
        .numbers("anisotropy", &GroundInput::anisotropy, {.min = 0.1, .max = 10}, layers,
                 {.help = "Coefficient of anisotropy, sqrt(vertical / horizontal resistivity); "
                          "one entry a layer.",
                  .when_absent = "1 for every layer"})
        .tables("polarisable", static_cast<std::vector<PolarisableLayer> T::*>(&GroundInput::polarisable),
                polarisable_keys(), {0, 64},
                {.help = "A layer with induced polarisation.", .when_absent = "no layer polarisable"});
}

}  // namespace

Section<GroundInput> ground_keys() {
    Section<GroundInput> keys;
    add_ground_keys(keys);
    return keys;
}

Section<NamedGroundInput> named_ground_keys() {
    Section<NamedGroundInput> keys;
    keys.text("name", &NamedGroundInput::name, {.help = "Name, unique among grounds.", .required = true}, 40);
    add_ground_keys(keys);
    return keys;
}

const Words<NaturalNoise>& natural_noise_words() {
    static const Words<NaturalNoise> words{{NaturalNoise::quiet_day, "quiet_day"},
                                           {NaturalNoise::typical, "typical"},
                                           {NaturalNoise::summer_night, "summer_night"}};
    return words;
}

namespace {

struct NamedWindow {
    Window window;
    std::string_view name;
};
constexpr NamedWindow plain_windows[] = {{Window::rectangular, "rectangular"},
                                         {Window::hann, "hann"},
                                         {Window::hamming, "hamming"},
                                         {Window::blackman, "blackman"},
                                         {Window::blackman_harris, "blackman_harris"}};
constexpr std::string_view window_forms =
    "\"rectangular\", \"hann\", \"hamming\", \"blackman\", \"blackman_harris\", \"tukey_<taper fraction, above 0 to 1>\", "
    "\"cosine_<power, 0.1 to 20>\"";

std::optional<Window> read_window(std::string_view word) {
    for (const NamedWindow& plain : plain_windows)
        if (word == plain.name) return plain.window;
    const auto with_number = [&](std::string_view prefix, Window::Kind kind, double least,
                                 double most) -> std::optional<Window> {
        if (!word.starts_with(prefix)) return std::nullopt;
        const std::optional<double> value = base::number_in(word.substr(prefix.size()));
        if (!value || !(*value >= least && *value <= most)) return std::nullopt;
        return Window{kind, *value};
    };
    if (const auto tukey = with_number("tukey_", Window::Kind::tukey, 1e-6, 1)) return tukey;
    return with_number("cosine_", Window::Kind::cosine, 0.1, 20);
}

std::string window_text(const Window& window) {
    for (const NamedWindow& plain : plain_windows)
        if (window == plain.window) return std::string(plain.name);
    return (window.kind == Window::Kind::tukey ? "tukey_" : "cosine_") + base::toml_number(window.parameter);
}

const Words<Coil>& coil_words() {
    static const Words<Coil> words{{Coil::long_coil, "long"},
                                   {Coil::medium, "medium"},
                                   {Coil::miniature, "miniature"},
                                   {Coil::custom, "custom"}};
    return words;
}

constexpr std::string_view coil_help =
    "Class of the induction coils: long (about 1 m), medium (0.15 to 0.4 m), "
    "miniature (some 5 cm), or custom with the three numbers below.";

/// The numbers of a custom coil, of the receiver or of a set of sensors.
template <class T>
void add_custom_coil_keys(Section<T>& keys) {
    keys.number("coil_a_pt", &T::coil_a_pt, {.unit = "pT sqrt(Hz)", .min = 0, .max = 1e6},
                {.help = "a of the custom coil's noise, sqrt((a/f)^2 + floor^2 + (b f)^2) in pT/sqrt(Hz).",
                 .when_absent = "by class"})
        .number("coil_floor_pt_per_rthz", &T::coil_floor_pt_per_rthz,
                {.unit = "pT/sqrt(Hz)", .min = 0, .max = 1e6},
                {.help = "Floor of the custom coil's noise.", .when_absent = "by class"})
        .number("coil_b_pt_per_hz", &T::coil_b_pt_per_hz, {.unit = "pT/sqrt(Hz)/Hz", .min = 0, .max = 1},
                {.help = "b of the custom coil's noise.", .when_absent = "by class"});
}

/// `of` has the numbers of a custom coil.
template <class T>
void check_coil(std::optional<Coil> coil, const T& of, const Value& table, const std::string& key,
                Problems& problems) {
    const bool given = of.coil_a_pt > 0 || of.coil_floor_pt_per_rthz > 0 || of.coil_b_pt_per_hz > 0;
    if (coil == Coil::custom && of.coil_floor_pt_per_rthz <= 0)
        problems.add(table, key + ".coil_floor_pt_per_rthz", "nothing or zero",
                     "above 0 pT/sqrt(Hz) when the coil is \"custom\"");
    if (coil && coil != Coil::custom && given)
        problems.add(table, key + ".coil", "a class together with numbers of a custom coil",
                     "coil = \"custom\" with numbers, or a class without");
    if (!coil && given)
        problems.add(table, key + ".coil", "numbers of a custom coil alone", "coil = \"custom\" beside them");
}

}  // namespace

Section<Receiver> receiver_keys() {
    constexpr std::string_view assumed = "common practice, no source";
    const Words<WireLowPass> low_passes{{WireLowPass::as_recorded, "as_recorded"},
                                        {WireLowPass::corrected, "corrected"},
                                        {WireLowPass::buffered, "buffered"}};
    constexpr NumberRange turned{.unit = "deg", .min = 0, .max = 20};
    Section<Receiver> keys;
    keys.number("sample_rate_hz", &Receiver::sample_rate_hz, {.unit = "Hz", .min = 10, .max = 1e7},
                {.help = "Sampling rate of every channel; more than twice the highest frequency sent.",
                 .required = true})
        .whole(
            "record_length", &Receiver::record_length, {.unit = "samples", .min = 16, .max = 1 << 26},
            {.help =
                 "Samples in one record that is Fourier transformed; a bin is sample_rate_hz / record_length wide. "
                 "A product of prime factors up to 13.",
             .required = true})
        .from_word(
            "window", &Receiver::window, window_forms, read_window, window_text,
            {.help =
                 "Window over a record; tukey_0.25 falls over a quarter of it, cosine_2 is a cosine squared.",
             .source = "Harris (1978), Proc. IEEE 66, 51-83"})
        .number("dipole_m", &Receiver::dipole_m, {.unit = "m", .min = 0.5, .max = 1000},
                {.help = "Length of the Ex and Ey dipoles.", .source = assumed})
        .number("contact_resistance_ohm", &Receiver::contact_resistance_ohm,
                {.unit = "ohm", .min = 1, .max = 1e7},
                {.help = "Contact resistance of an electric dipole, both electrodes in series.",
                 .source = assumed})
        .number("wire_capacitance_f_per_m", &Receiver::wire_capacitance_f_per_m,
                {.unit = "F/m", .min = 0, .max = 1e-9},
                {.help = "Capacitance to ground of a dipole's wire; "
                         "with the contact resistance it sets the frequency above which E is biased.",
                 .source = "10 to 60 pF/m, from memory; effect: Zonge & Hughes (1985), SEG meeting abstract"})
        .choice(
            "wire_low_pass", &Receiver::wire_low_pass, low_passes,
            {.help =
                 "What becomes of the low-pass that contact resistance and wire capacitance are: as_recorded, it "
                 "lowers and turns E; corrected, it is divided out and the amplifier's noise grows; buffered, "
                 "amplifiers at the electrodes keep the wire from loading them.",
             .source =
                 "Zonge & Hughes (1985), SEG meeting abstract: amplifiers at the electrodes are the cure"})
        .number("amplifier_v_per_rthz", &Receiver::amplifier_v_per_rthz,
                {.unit = "V/sqrt(Hz)", .min = 0, .max = 1e-3},
                {.help = "Voltage noise of the electric channels' amplifier, rms.", .source = assumed})
        .number("amplifier_a_per_rthz", &Receiver::amplifier_a_per_rthz,
                {.unit = "A/sqrt(Hz)", .min = 0, .max = 1e-6},
                {.help = "Current noise of the electric channels' amplifier, rms.", .source = assumed})
        .choice("coil", &Receiver::coil, coil_words(),
                {.help = coil_help,
                 .source = "tests/reference/field/sensor_b_noise.csv names the published points"});
    add_custom_coil_keys(keys);
    keys.yes_no("vertical_coil", &Receiver::vertical_coil, {.help = "Hz is recorded too."})
        .whole("adc_bits", &Receiver::adc_bits, {.unit = "bits", .min = 8, .max = 32},
               {.help = "Resolution of the converter.", .source = assumed})
        .number("e_full_scale_v", &Receiver::e_full_scale_v,
                {.unit = "V", .min = 0, .max = 1000, .min_excluded = true},
                {.help = "Largest voltage between electrodes that is not clipped.", .source = assumed})
        .number("b_full_scale_nt", &Receiver::b_full_scale_nt,
                {.unit = "nT", .min = 0, .max = 1e6, .min_excluded = true},
                {.help = "Largest field at a coil that is not clipped.", .source = assumed})
        .number(
            "clock_error_ppm", &Receiver::clock_error_ppm, {.unit = "ppm", .min = -100, .max = 100},
            {.help = "How fast the receiver's clock runs against UTC.",
             .source = "compensated crystal 0.1 to 2.5 ppm (tests/reference/field/timing_oscillators.csv)"})
        .number(
            "calibration_percent", &Receiver::calibration_percent, {.unit = "%", .min = 0, .max = 50},
            {.help =
                 "How well each sensor's gain is known, one standard deviation; no dwell makes it better.",
             .source = assumed})
        .number("azimuth_error_deg", &Receiver::azimuth_error_deg, turned,
                {.help = "How well each dipole and coil is turned to its azimuth, one standard deviation.",
                 .source = assumed})
        .number(
            "level_error_deg", &Receiver::level_error_deg, turned,
            {.help = "How well each horizontal coil is level, one standard deviation.", .source = assumed})
        .rule([](const Receiver& receiver, const Value& table, const std::string& key, Problems& problems) {
            check_coil(receiver.coil, receiver, table, key, problems);
        });
    return keys;
}

Section<SensorSet> sensor_set_keys() {
    Section<SensorSet> keys;
    keys.text("name", &SensorSet::name, {.help = "Name, unique among sensors.", .required = true}, 40)
        .number("dipole_m", &SensorSet::dipole_m, {.unit = "m", .min = 0.5, .max = 1000},
                {.help = "Length of their Ex and Ey dipoles.", .when_absent = "receiver.dipole_m"})
        .number("contact_resistance_ohm", &SensorSet::contact_resistance_ohm,
                {.unit = "ohm", .min = 1, .max = 1e7},
                {.help = "Contact resistance of their electric dipoles, both electrodes in series.",
                 .when_absent = "receiver.contact_resistance_ohm"})
        .choice("coil", &SensorSet::coil, coil_words(),
                {.help = coil_help, .when_absent = "receiver.coil with its numbers"});
    add_custom_coil_keys(keys);
    keys.rule([](const SensorSet& set, const Value& table, const std::string& key, Problems& problems) {
        check_coil(set.coil, set, table, key, problems);
    });
    return keys;
}

Section<Interferer> interferer_keys() {
    Section<Interferer> keys;
    keys.text("name", &Interferer::name, {.help = "What it is.", .required = true}, 80)
        .number("frequency_hz", &Interferer::frequency_hz, {.unit = "Hz", .min = 0.1, .max = 1e7},
                {.help = "Centre of the band to avoid.", .required = true})
        .number("half_width_hz", &Interferer::half_width_hz, {.unit = "Hz", .min = 0, .max = 1e6},
                {.help = "Half-width of the band to avoid.", .required = true})
        .number("b_nt", &Interferer::b_nt, {.unit = "nT", .min = 0, .max = 1e6},
                {.help = "Its horizontal magnetic field at the stations, rms. 0: not known, "
                         "the band is only avoided; else it counts as noise and is heard in rehearsals, "
                         "a carrier keyed at random (half-width 0: not keyed).",
                 .source = "spectrum of minimum-shift keying: Pasupathy (1979)"});
    return keys;
}

Section<Noise> noise_keys() {
    constexpr std::string_view model =
        "composite on Maxwell & Stone (1963), Fuellekrug & Fraser-Smith (2011), "
        "Garcia & Jones (2002); between anchors an assumption";
    Section<Noise> keys;
    keys.choice("natural", &Noise::natural, natural_noise_words(),
                {.help = "Level of the natural field: quiet_day winter-like daytime without storms near, "
                         "typical the annual mean, summer_night a summer evening with storms.",
                 .source = model})
        .choices("natural_by_hour", &Noise::natural_by_hour, natural_noise_words(), {24, 24},
                 {.help = "Level in each local hour, 0 to 23; used instead of `natural`.",
                  .when_absent = "`natural` all day"})
        .text("spectrum_csv", &Noise::spectrum_csv,
              {.help = "Own density of the horizontal natural field, a CSV file beside the plan with the "
                       "columns frequency_hz,b_pt_per_rthz. It must cover every frequency sent; "
                       "gaps wider than a factor of 3 around one are remarked on.",
               .when_absent = "the model"})
        .choice(
            "spectrum_interpolation", &Noise::spectrum_interpolation,
            {{Interpolation::log_log, "log_log"}, {Interpolation::linear, "linear"}},
            {.help =
                 "Between the points of spectrum_csv: straight lines over the logarithms of frequency and "
                 "density, or over frequency and density themselves."})
        .number("natural_factor", &Noise::natural_factor, {.min = 0.01, .max = 100},
                {.help = "Multiplies the natural field's amplitude."})
        .number(
            "natural_azimuth_deg", &Noise::natural_azimuth_deg, {.unit = "deg", .min = -360, .max = 360},
            {.help =
                 "Azimuth of the stronger horizontal part of the natural magnetic field, from true north. "
                 "A rehearsal has no directions and refuses a plan with one.",
             .when_absent = "from no side more than from others"})
        .number(
            "natural_along_fraction", &Noise::natural_along_fraction, {.min = 0.5, .max = 1},
            {.help =
                 "Share of the power of the horizontal magnetic field along natural_azimuth_deg, noise's or "
                 "a station's; the rest is across it. 0.5: no direction.",
             .source = "common practice, no source"})
        .number("mains_hz", &Noise::mains_hz, {.unit = "Hz", .min = 0, .max = 400},
                {.help = "Mains frequency; 0 where no mains is near."})
        .number("mains_b_nt", &Noise::mains_b_nt, {.unit = "nT", .min = 0, .max = 1e4},
                {.help = "Mains field, rms of the fundamental: "
                         "remote 0.01, rural 0.1 to 1, near a line 10 to 100.",
                 .source = "common practice, no source"})
        .yes_no(
            "weak_grid", &Noise::weak_grid,
            {.help =
                 "Island or weak grid: the frequency wanders by 1 %, what EN 50160 allows interconnected grids, instead of 0.1 Hz; islands may go to 2 % and more.",
             .source = "EN 50160 (tests/reference/facts)"})
        .whole("mains_orders", &Noise::mains_orders, {.min = 1, .max = 2000},
               {.help = "Harmonics of the mains that are looked at."})
        .tables("interferer", &Noise::interferers, interferer_keys(), {0, 500},
                {.help = "A transmitter or machine to keep clear of.", .when_absent = "none known"});
    return keys;
}

Section<QuestionInput> question_keys() {
    const Words<QuestionKind> kinds{{QuestionKind::two_grounds, "two_grounds"},
                                    {QuestionKind::depth, "depth"}};
    Section<QuestionInput> keys;
    keys.text("text", &QuestionInput::text, {.help = "The question in a person's words.", .required = true},
              500)
        .choice("kind", &QuestionInput::kind, kinds,
                {.help = "two_grounds: is it the ground the stations stand on or [question.with_target]? "
                         "depth: is the depth of an interface of their ground known well enough?"})
        .table("with_target", &QuestionInput::with_target, ground_keys(),
               {.help = "The other ground; needed for two_grounds.", .when_absent = "needed for two_grounds"})
        .whole("interface", &QuestionInput::interface, {.min = 1, .max = 63},
               {.help = "Lower end of which layer, counted from 1; needed for depth.",
                .when_absent = "needed for depth"})
        .number("within_m", &QuestionInput::within_m,
                {.unit = "m", .min = 0, .max = 1e4, .min_excluded = true},
                {.help = "Depth must be known to plus or minus this; needed for depth.",
                 .when_absent = "needed for depth"})
        .number("confidence", &QuestionInput::confidence, {.min = 0.5, .max = 0.9999},
                {.help = "Probability asked for."})
        .texts("stations", &QuestionInput::stations, {1, 1000},
               {.help = "Stations whose data answer the question.", .when_absent = "all"});
    return keys;
}

}  // namespace ampturn::plan::file
