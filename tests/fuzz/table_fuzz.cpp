// libFuzzer target for every reader of tables: whatever the bytes, a reader accepts or throws InputError;
// what it accepts comes back equal in every form. An image whose length and checksum are mended by us goes
// deeper, into a unit that then runs it.

#include <cstdlib>
#include <string_view>
#include <vector>

#include "scheduler/base/input_error.hpp"
#include "scheduler/core/crc32.hpp"
#include "scheduler/core/image.hpp"
#include "scheduler/sweep/table_files.hpp"
#include "tests/scheduler/core/sequencer_fixture.hpp"

namespace {

using namespace ampturn;

void must(bool holds) {
    if (!holds) std::abort();
}

void read_as_file(std::string_view bytes) {
    try {
        const sweep::StoredTable stored = sweep::read_table_file("fuzz", bytes);
        for (const sweep::TableFormat format : {sweep::TableFormat::image, sweep::TableFormat::hex,
                                                sweep::TableFormat::header, sweep::TableFormat::csv})
            must(sweep::read_table_file("fuzz", sweep::table_file(stored, format)) == stored);
    } catch (const base::InputError& error) {
        must(!error.problems().empty());
    }
}

void run_as_image(std::vector<std::uint8_t> image) {
    if (image.size() < core::image_bytes(1)) return;
    const auto put = [&](std::size_t at, std::uint32_t value) {
        for (std::size_t i = 0; i < 4; ++i) image[at + i] = static_cast<std::uint8_t>(value >> (8 * i));
    };
    put(0, 0x4C425441);
    image[4] = 1;
    image[5] = 0;
    put(8, static_cast<std::uint32_t>(image.size()));
    put(12, 24'000'000);
    put(image.size() - 4, core::crc32(std::span{image}.first(image.size() - 4)));
    core::test::SequencerFixture unit;
    const core::TableCheck result = unit.sequencer.load(unit.now, image);
    must(result == core::check_image(image, 24'000'000, {}));
    must((result.reason == core::Refusal::none) == (unit.sequencer.table().step_count > 0));
    if (result.reason != core::Refusal::none) return;
    unit.to_armed();
    unit.sequencer.mark(unit.now, 1'000);
    unit.control(core::Control::go);
    for (int i = 0; i < 300; ++i) {
        unit.now = unit.sequencer.deadline() == core::Instant::never() ? unit.now : unit.sequencer.deadline();
        unit.sequencer.advance(unit.now);
        unit.measure();
        must(!unit.sequencer.drive().on || core::may_energise(unit.sequencer.state()));
    }
    unit.control(core::Control::emergency_stop);
    must(!unit.sequencer.drive().on);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    read_as_file({reinterpret_cast<const char*>(data), size});
    run_as_image({data, data + size});
    return 0;
}
