#include "scheduler/core/image.hpp"

#include "scheduler/core/check.hpp"
#include "scheduler/core/crc32.hpp"

namespace ampturn::core {
namespace {

constexpr std::uint8_t magic[4] = {'A', 'T', 'B', 'L'};

class Writer {
  public:
    explicit Writer(std::span<std::uint8_t> out) : out_(out) {}
    void u8(std::uint32_t value) { out_[position_++] = static_cast<std::uint8_t>(value); }
    void u16(std::uint32_t value) {
        u8(value);
        u8(value >> 8);
    }
    void u32(std::uint32_t value) {
        u16(value);
        u16(value >> 16);
    }
    std::size_t position() const { return position_; }

  private:
    std::span<std::uint8_t> out_;
    std::size_t position_ = 0;
};

std::uint32_t u16_at(std::span<const std::uint8_t> bytes, std::size_t at) {
    return bytes[at] | static_cast<std::uint32_t>(bytes[at + 1]) << 8;
}
std::uint32_t u32_at(std::span<const std::uint8_t> bytes, std::size_t at) {
    return u16_at(bytes, at) | u16_at(bytes, at + 2) << 16;
}
Step step_at(std::span<const std::uint8_t> image, std::size_t index) {
    return read_step(image.subspan(image_header_bytes + index * image_step_bytes).first<image_step_bytes>());
}

Refusal check_header(std::span<const std::uint8_t> image, std::uint32_t clock_hz) {
    if (image.size() < image_bytes(0)) return Refusal::too_short;
    for (std::size_t i = 0; i < sizeof magic; ++i)
        if (image[i] != magic[i]) return Refusal::not_a_table;
    if (u16_at(image, 4) != image_version) return Refusal::unknown_version;
    if (u32_at(image, 8) != image.size() || image.size() > image_bytes_max) return Refusal::wrong_length;
    if (crc32(image.first(image.size() - 4)) != image_checksum(image)) return Refusal::damaged;
    if (u32_at(image, 12) != clock_hz) return Refusal::other_clock;
    const std::uint32_t step_count = u16_at(image, 6);
    if (step_count == 0) return Refusal::no_steps;
    if (step_count > steps_max) return Refusal::too_many_steps;
    if (u16_at(image, 20) == 0) return Refusal::no_sweeps;
    if (u16_at(image, 22) != 0) return Refusal::reserved_not_zero;
    if (image_bytes(step_count) != image.size()) return Refusal::count_and_length_differ;
    return Refusal::none;
}

}  // namespace

void write_step(const Step& step, std::span<std::uint8_t, image_step_bytes> out) {
    Writer writer(out);
    writer.u8(static_cast<std::uint32_t>(step.loop));
    writer.u8(step.tap);
    writer.u8(step.capacitor);
    writer.u8(step.flags);
    writer.u32(step.divisor);
    writer.u32(step.cycles);
    writer.u32(step.current_ma_peak);
    writer.u32(step.ramp_cycles);
    writer.u32(step.settle_ticks);
    writer.u32(step.gap_ticks);
}

Step read_step(std::span<const std::uint8_t, image_step_bytes> in) {
    return {.loop = static_cast<Loop>(in[0]),
            .tap = in[1],
            .capacitor = in[2],
            .flags = in[3],
            .divisor = u32_at(in, 4),
            .cycles = u32_at(in, 8),
            .current_ma_peak = u32_at(in, 12),
            .ramp_cycles = u32_at(in, 16),
            .settle_ticks = u32_at(in, 20),
            .gap_ticks = u32_at(in, 24)};
}

std::uint32_t image_checksum(std::span<const std::uint8_t> image) { return u32_at(image, image.size() - 4); }

std::size_t write_image(const Table& table, std::uint32_t clock_hz, std::span<std::uint8_t> out) {
    const std::size_t length = image_bytes(table.step_count);
    AMPTURN_CHECK(table.step_count <= steps_max && out.size() >= length);
    Writer writer(out);
    for (const std::uint8_t byte : magic) writer.u8(byte);
    writer.u16(image_version);
    writer.u16(table.step_count);
    writer.u32(static_cast<std::uint32_t>(length));
    writer.u32(clock_hz);
    writer.u32(table.table_id);
    writer.u16(table.sweep_count);
    writer.u16(0);
    for (std::size_t i = 0; i < table.step_count; ++i)
        write_step(table.steps[i],
                   out.subspan(image_header_bytes + i * image_step_bytes).first<image_step_bytes>());
    const std::uint32_t crc = crc32(out.first(length - 4));
    Writer(out.subspan(length - 4)).u32(crc);
    return length;
}

TableCheck check_image(std::span<const std::uint8_t> image, std::uint32_t clock_hz, const Limits& limits) {
    if (const Refusal reason = check_header(image, clock_hz); reason != Refusal::none) return {reason, 0};
    const std::size_t step_count = u16_at(image, 6);
    const bool again = u16_at(image, 20) > 1;
    Selection before;
    for (std::size_t i = 0; i < step_count; ++i) {
        const Step step = step_at(image, i);
        const std::size_t follows = i + 1 < step_count ? i + 1 : (again ? 0 : i);
        Refusal reason = check_step(step, limits);
        if (reason == Refusal::none)
            reason = check_order(step, before, step_at(image, follows).selection(), limits);
        if (reason != Refusal::none) return {reason, static_cast<std::uint8_t>(i)};
        before = step.selection();
    }
    return {};
}

TableCheck read_image(std::span<const std::uint8_t> image, std::uint32_t clock_hz, const Limits& limits,
                      Table& table) {
    const TableCheck result = check_image(image, clock_hz, limits);
    if (result.reason != Refusal::none) return result;
    table.step_count = static_cast<std::uint16_t>(u16_at(image, 6));
    table.table_id = u32_at(image, 16);
    table.sweep_count = static_cast<std::uint16_t>(u16_at(image, 20));
    for (std::size_t i = 0; i < table.step_count; ++i) table.steps[i] = step_at(image, i);
    for (std::size_t i = table.step_count; i < steps_max; ++i) table.steps[i] = Step{};
    return result;
}

}  // namespace ampturn::core
