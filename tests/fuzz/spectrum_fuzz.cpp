// libFuzzer target: densities of the natural field (CSV). What is accepted is rising and above 0.
#include "scheduler/plan/beside/natural_spectrum.hpp"
#include "tests/fuzz/accepted.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace ampturn;
    plan::NaturalSpectrum spectrum;
    const std::string text(fuzz::text_of_bytes(data, size));
    if (!fuzz::accepted([&] { spectrum = plan::beside::natural_spectrum_of(text, "fuzz.csv"); })) return 0;
    fuzz::must(
        !spectrum.frequency_hz.empty() && spectrum.frequency_hz.size() == spectrum.b_pt_per_rthz.size(),
        "as many densities as frequencies");
    for (std::size_t i = 0; i < spectrum.frequency_hz.size(); ++i) {
        fuzz::must(spectrum.b_pt_per_rthz[i] > 0, "densities are above 0");
        fuzz::must(spectrum.frequency_hz[i] > (i == 0 ? 0 : spectrum.frequency_hz[i - 1]),
                   "frequencies rise");
    }
    return 0;
}
