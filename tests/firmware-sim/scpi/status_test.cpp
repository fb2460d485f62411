#include "firmware-sim/scpi/status.hpp"

#include <gtest/gtest.h>

namespace status_test {

using namespace ampturn::sim::scpi;

// Transition filters, latching and masking: SCPI-99, volume 1, chapter 9; IEEE 488.2, chapter 11 (from memory).
TEST(RegisterGroup, LatchesTheTransitionsAskedFor) {
    RegisterGroup group;
    group.set_condition(0b1001);
    EXPECT_EQ(group.condition(), 0b1001);
    EXPECT_EQ(group.take_event(), 0b1001);
    EXPECT_EQ(group.take_event(), 0);
    group.set_condition(0b0001);
    EXPECT_EQ(group.take_event(), 0);  // falling edges are off by default
    group.set_negative(0b0001);
    group.set_positive(0);
    group.set_condition(0b1000);
    EXPECT_EQ(group.take_event(), 0b0001);
}

TEST(RegisterGroup, SummaryNeedsTheEnableAndBitFifteenIsZero) {
    RegisterGroup group;
    group.set_condition(0xFFFF);
    EXPECT_EQ(group.condition(), 0x7FFF);
    EXPECT_FALSE(group.summary());
    group.set_enable(0xFFFF);
    EXPECT_EQ(group.enable(), 0x7FFF);
    EXPECT_TRUE(group.summary());
    group.preset();
    EXPECT_FALSE(group.summary());
}

TEST(Status, ErrorsSetTheBitOfTheirClass) {
    struct Row {
        ErrorCode code;
        std::uint8_t bit;
    };
    for (const Row row : {Row{ErrorCode::undefined_header, esr::command_error},
                          Row{ErrorCode::data_out_of_range, esr::execution_error},
                          Row{ErrorCode::queue_overflow, esr::device_error},
                          Row{ErrorCode::query_after_indefinite, esr::query_error}}) {
        Status status;
        EXPECT_EQ(status.take_event(), esr::power_on);
        status.report({row.code, {}});
        EXPECT_EQ(status.byte(false), stb::error_queue);
        EXPECT_EQ(status.take_event(), row.bit);
    }
}

TEST(Status, ByteSummarises) {
    Status status;
    status.set_service_enable(0xFF);
    EXPECT_EQ(status.service_enable(), 0xBF);
    EXPECT_EQ(status.byte(false), 0);
    EXPECT_EQ(status.byte(true), stb::message_available | stb::master_summary);
    status.set_event_enable(esr::power_on);
    EXPECT_EQ(status.byte(false), stb::standard_event | stb::master_summary);
    status.operation.set_enable(8);
    status.operation.set_condition(8);
    EXPECT_TRUE(status.byte(false) & stb::operation);
    status.clear();
    EXPECT_EQ(status.byte(false), 0);
    EXPECT_EQ(status.event_enable(), esr::power_on);
}

TEST(ErrorQueue, OverflowReplacesTheNewest) {
    ErrorQueue queue;
    for (std::size_t i = 0; i < ErrorQueue::capacity + 5; ++i)
        queue.push({ErrorCode::syntax_error, std::to_string(i)});
    EXPECT_EQ(queue.size(), ErrorQueue::capacity);
    EXPECT_EQ(queue.pop().detail, "0");
    Error last;
    while (!queue.empty()) last = queue.pop();
    EXPECT_EQ(last.code, ErrorCode::queue_overflow);
    EXPECT_EQ(format_error(queue.pop()), "0,\"No error\"");
}

TEST(ErrorQueue, FormatsForTheWire) {
    EXPECT_EQ(format_error({ErrorCode::data_out_of_range, "say \"1\""}),
              "-222,\"Data out of range;say \"\"1\"\"\"");
}

}  // namespace status_test
