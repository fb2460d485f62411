#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <cstdlib>
#include <random>

#include "tests/firmware-sim/session/session_bench.hpp"

namespace instrument_test {

using namespace ampturn::sim::record;
using namespace ampturn::sim::session;

class Instrument488 : public ::testing::Test {
  protected:
    Instrument488() : bench(SessionBench::practice()) {
        bench.open(1);
        EXPECT_TRUE(bench.wait_state("standby"));
    }
    std::string ask(const std::string& message) { return bench.ask(message); }
    std::string error() { return bench.ask("SYST:ERR?"); }
    SessionBench bench;
};

TEST_F(Instrument488, WholeNumbersAreRoundedBeforeTheyAreHeldAgainstTheirLimits) {
    // IEEE 488.2, 10.10.3 and 10.34.3: rounded to an integer, 0 to 255; no words in common commands.
    EXPECT_EQ(ask("*ESE 255.4;*ESE?"), "255");
    EXPECT_EQ(ask("*SRE -0.4;*SRE?"), "0");
    EXPECT_EQ(error(), "0,\"No error\"");
    for (const auto& [message, code] : {std::pair{"*ESE 255.6", "-222"},
                                        {"*ESE MAX", "-148"},
                                        {"*SRE MIN", "-148"},
                                        {"*ESE 1 S", "-138"},
                                        {"LIST:COUN 0.4", "-222"}}) {
        ask(message);
        EXPECT_EQ(error().substr(0, 4), code) << message;
    }
    EXPECT_EQ(ask("LIST:COUN 65535.4;COUN?"), "65535");
}

TEST_F(Instrument488, ANumericSuffixOfOneIsNone) {
    // SCPI-99, volume 1, 6.2.5.2.
    EXPECT_EQ(ask("OUTP1?;:OUTPUT1:PROT1:TRIP1?"), "0;0");
    EXPECT_EQ(ask("SOUR1:LIST1:COUN 3;COUN?"), "3");
    EXPECT_EQ(ask("MEAS1:VOLT1:DC1?").size(), ask("MEAS:VOLT?").size());
    for (const auto& [message, code] : {std::pair{"OUTP2?", "-114"},
                                        {"SOUR2:LIST:COUN?", "-114"},
                                        {"LIST3:COUN 3", "-114"},
                                        {"OUTP01?", "-114"},
                                        {"NONE1?", "-113"},
                                        {"*ESE2 1", "-113"}}) {
        ask(message);
        EXPECT_EQ(error().substr(0, 4), code) << message;
    }
}

TEST_F(Instrument488, LimitsCanBeAskedForWhereverNumbersAre) {
    EXPECT_EQ(ask("LIST:COUN? MIN;COUN? MAX;COUN? DEF"), "1;65535;1");
    EXPECT_EQ(ask("LIST:COUN MAX;COUN?;COUN MIN;COUN?"), "65535;1");
    EXPECT_EQ(ask("LIST:TAP? MIN;CAP? MIN"), "1;0");
    const std::string most = ask("LIST:TAP? MAX");
    EXPECT_EQ(ask("LIST:TAP MAX;TAP?"), most);
    EXPECT_EQ(ask("STAT:OPER:ENAB MAX;ENAB?"), "32767") << "bit 15 is always 0";
    EXPECT_EQ(error(), "0,\"No error\"");
}

TEST_F(Instrument488, ErrorsCanBeReadByTheirNumbers) {
    ask("NONSENSE");
    ask("*ESE 999");
    ask("*ESE MAX");
    EXPECT_EQ(ask("SYST:ERR:CODE?"), "-113");
    EXPECT_EQ(ask("SYST:ERR:CODE:ALL?"), "-222,-148");
    EXPECT_EQ(ask("SYST:ERR:CODE:NEXT?;ALL?"), "0;0");
}

TEST_F(Instrument488, HeadersSayWhatTheyAre) {
    const std::string all = ask("SYST:HELP:HEAD?");
    for (const char* line : {"\nSYSTem:VERSion?/qonly/\n", "\nABORt/nquery/\n", "\n*ESE\n",
                             "\n[SOURce]:LIST:COUNt\n", "*CLS/nquery/\n"})
        EXPECT_NE(all.find(line), std::string::npos) << line;
    EXPECT_EQ(all.find("*ESE?"), std::string::npos) << "told with the command";
}

TEST_F(Instrument488, ABlockOfIndefiniteLengthEndsWithItsMessage) {
    ask("LIST:IMAG #0");
    EXPECT_EQ(error().substr(0, 4), "-224") << "an empty image";
    ask("LIST:IMAG #0abc;*ESE 7");
    EXPECT_EQ(error().substr(0, 4), "-224");
    EXPECT_EQ(ask("*ESE?"), "0") << "all of the rest was the block";
}

TEST_F(Instrument488, AnEmergencyStopShowsInTheQuestionableRegister) {
    EXPECT_EQ(ask("*CLS;STAT:PRES;:STAT:QUES:ENAB 512;*SRE 8;:STAT:QUES:COND?"), "0");
    ASSERT_TRUE(bench.panel(R"({"do":"emergency_stop"})"));
    EXPECT_EQ(ask("STAT:QUES:COND?"), "512");
    EXPECT_EQ(ask("*STB?"), "72") << "QUEStionable summary and master summary";
    ASSERT_TRUE(bench.panel(R"({"do":"release_emergency_stop"})"));
    EXPECT_EQ(ask("STAT:QUES:COND?;EVEN?;EVEN?"), "0;512;0");
}

/// Status reporting of one client as IEEE 488.2 (chapter 11) and SCPI-99 (volume 2, 21.8) describe it, written down anew.
struct StatusModel {
    int esr = 0, ese = 0, sre = 0;
    std::vector<int> errors;

    void fault(int code, int bit) {
        esr |= bit;
        if (errors.size() < 32)
            errors.push_back(code);
        else
            errors.back() = -350;
    }
    int byte() const {
        const int low = (errors.empty() ? 0 : 4) | ((esr & ese) != 0 ? 32 : 0);
        return low | ((low & sre) != 0 ? 64 : 0);
    }
    int pop() {
        if (errors.empty()) return 0;
        const int first = errors.front();
        errors.erase(errors.begin());
        return first;
    }
};

TEST(StatusAgainstAModel, AnySequenceOfMessagesGivesWhatTheStandardsSay) {
    // Independent: the model above; one message after the other, 0 to 80 of them, chosen and filled by chance.
    EXPECT_TRUE(rc::check([] {
        SessionBench bench(SessionBench::practice());
        bench.open(1);
        bench.wait_state("standby");
        bench.ask("*CLS;*ESE 0;*SRE 0");
        StatusModel model;
        const auto count = *rc::gen::inRange(0, 80);
        for (int n = 0; n < count; ++n) {
            const int value = *rc::gen::inRange(0, 300);
            const std::string number = std::to_string(value);
            switch (*rc::gen::inRange(0, 10)) {
                case 0:
                    bench.ask("*ESE " + number);
                    value <= 255 ? void(model.ese = value) : model.fault(-222, 16);
                    break;
                case 1:
                    bench.ask("*SRE " + number);
                    value <= 255 ? void(model.sre = value & ~64) : model.fault(-222, 16);
                    break;
                case 2:
                    RC_ASSERT(bench.ask("*ESR?") == std::to_string(std::exchange(model.esr, 0)));
                    break;
                case 3:
                    RC_ASSERT(bench.ask("*STB?") == std::to_string(model.byte()));
                    break;
                case 4:
                    for (int k = 0; k <= value % 12; ++k) bench.ask("NO:SUCH:HEADER"), model.fault(-113, 32);
                    break;
                case 5:
                    bench.ask("TRIG");
                    model.fault(-211, 16);
                    break;
                case 6:
                    RC_ASSERT(bench.ask("SYST:ERR:CODE?") == std::to_string(model.pop()));
                    break;
                case 7:
                    RC_ASSERT(bench.ask("SYST:ERR:COUN?") == std::to_string(model.errors.size()));
                    break;
                case 8:
                    if (value % 5 == 0) bench.ask("*CLS"), model.esr = 0, model.errors.clear();
                    break;
                default:
                    bench.ask("*OPC");
                    model.esr |= 1;
                    break;
            }
            RC_ASSERT(bench.ask("*ESE?;*SRE?") ==
                      std::to_string(model.ese) + ";" + std::to_string(model.sre));
        }
    }));
}

// IEEE 488.2 and SCPI-99 behaviour; sources beside the rows of the lexer, tree and status tests.
TEST_F(Instrument488, CommonCommandsAnswer) {
    EXPECT_EQ(ask("*IDN?").substr(0, 36), "Ampturn,simulated loop transmitter,0");
    EXPECT_EQ(ask("*ESE 60;*ESE?"), "60");
    EXPECT_EQ(ask("*SRE 255;*SRE?"), "191");
    EXPECT_EQ(ask("*TST?"), "0");
    EXPECT_EQ(ask("*CLS;*OPC;*ESR?"), "1");
    EXPECT_EQ(ask("*OPC?"), "1");
    EXPECT_EQ(ask("SYST:VERS?"), "1999.0");
    EXPECT_EQ(ask("SYST:ERR?"), "0,\"No error\"");
    EXPECT_EQ(ask("*WAI"), "");
}

TEST_F(Instrument488, ErrorsHaveTheStandardNumbers) {
    struct Row {
        const char* message;
        const char* code;
    };
    for (const Row row :
         {Row{"NO:SUCH:THING", "-113"}, Row{"*ESE 300", "-222"}, Row{"*ESE", "-109"}, Row{"*ESE 1,2", "-108"},
          Row{"LIST:FREQ 1 A", "-131"}, Row{"LIST:LOOP C", "-224"}, Row{"LIST:IMAG 'x'", "-158"},
          Row{"LIST:FREQ (1)", "-178"}, Row{"INIT", "-213"}, Row{"*TRG", "-211"}, Row{"LIST:FREQ 1,", "-109"},
          Row{"*IDN?;*ESR?", "-440"}, Row{"LIST:IMAG #11x", "-224"}, Row{"OUTP:PROT:CLE", "-221"}}) {
        ask("*CLS");
        ask(row.message);
        EXPECT_EQ(error().substr(0, 4), row.code) << row.message;
        EXPECT_EQ(error(), "0,\"No error\"") << row.message;
    }
}

TEST_F(Instrument488, ACommandErrorEndsItsMessageAnExecutionErrorDoesNot) {
    EXPECT_EQ(ask("*ESE 4;NONSENSE;*ESE 8"), "");
    EXPECT_EQ(ask("*ESE?"), "4");
    EXPECT_EQ(ask("*ESE 4;*ESE 999;*SRE 8;*SRE?"), "8");
}

TEST_F(Instrument488, ListsTellWhatTheClockGives) {
    ask("LIST:FREQ 100,1000.3 HZ,2.5KHZ;CURR 800MA;DWEL 500 MS;LOOP A,B,A;TAP 3,3,2;CAP 0");
    EXPECT_EQ(error(), "0,\"No error\"");
    // 24 MHz / 23992 = 1000.333 Hz (nearest even divisor of 23992.8), not the 1000.3 asked for.
    EXPECT_EQ(ask("LIST:FREQ?"), "1.000000E+02,1.000333E+03,2.500000E+03");
    EXPECT_EQ(ask("LIST:FREQ:POIN?;:LIST:CURR:POIN?"), "3;1");
    EXPECT_EQ(ask("LIST:CURR? MAX;:LIST:LOOP?"), ask("LIST:CURR? MAX") + ";A,B,A");
    const std::string image = ask("LIST:IMAG?");
    EXPECT_EQ(image.substr(0, 9), "#3112ATBL");  // 24 + 3 * 28 + 4 bytes
    ask("*RST");
    ask("LIST:IMAG " + image);
    EXPECT_EQ(error(), "0,\"No error\"");
    EXPECT_EQ(ask("LIST:FREQ?"), "1.000000E+02,1.000333E+03,2.500000E+03");
    EXPECT_EQ(ask("LIST:IMAG?"), image);
    ask("LIST:FREQ 100,200");
    ask("ARM");
    EXPECT_EQ(error().substr(0, 4), "-226");
}

TEST_F(Instrument488, ADamagedImageIsRefusedWhole) {
    std::string image = ask("LIST:IMAG?");
    const std::string before = image;
    image[image.size() / 2] = static_cast<char>(image[image.size() / 2] ^ 1);
    ask("LIST:IMAG " + image);
    EXPECT_EQ(error(), "-224,\"Illegal parameter value;image refused: the checksum does not fit\"");
    EXPECT_EQ(ask("LIST:IMAG?"), before);
}

TEST_F(Instrument488, AWholeJob) {
    // Definition: the currents are those the table asks for.
    ask("*RST;*CLS;LIST:FREQ 96,384;CURR 2,2.5;DWEL 3;LOOP A,B;TAP 3,2;CAP 0;COUN 2");
    EXPECT_EQ(ask("STAT:OPER:COND?"), "64");  // waiting for ARM
    ask("ARM;INIT");
    EXPECT_EQ(error(), "0,\"No error\"");
    EXPECT_EQ(bench.word(), "warning");
    ASSERT_TRUE(bench.wait_state("sending"));
    bench.wait_s(2);
    EXPECT_EQ(std::atoi(ask("STAT:OPER:COND?").c_str()) & 8, 8);  // sweeping
    EXPECT_EQ(ask("OUTP?;:LIST:STEP?"), "1;1,2");
    EXPECT_NEAR(std::atof(ask("MEAS:CURR? A").c_str()), 2.0, 0.05);  // the driver holds the table's current
    EXPECT_NEAR(std::atof(ask("MEAS:CURR? B").c_str()), 0.0, 0.05);
    EXPECT_GT(std::atof(ask("MEAS:VOLT?").c_str()), 21);
    EXPECT_EQ(ask("ARM;:SYST:ERR?").substr(0, 4), "-212");
    EXPECT_EQ(ask("*OPC?"), "1");
    EXPECT_EQ(bench.word(), "standby");
    EXPECT_EQ(ask("STAT:OPER?"), std::to_string(64 | 8 | 2));
    EXPECT_EQ(ask("OUTP:PROT:TRIP?;TRIP:CAUS?"), "0;none");
}

TEST_F(Instrument488, AbortRampsDown) {
    ask("ARM;INIT");
    ASSERT_TRUE(bench.wait_state("sending"));
    bench.wait_s(1);
    ask("ABOR");
    EXPECT_EQ(bench.word(), "stopping");
    EXPECT_EQ(ask("*OPC?"), "1");
    EXPECT_EQ(bench.word(), "standby");
}

TEST_F(Instrument488, BusTrigger) {
    ask("TRIG:SOUR BUS;:ARM;:INIT");
    EXPECT_EQ(error(), "0,\"No error\"");
    EXPECT_EQ(bench.word(), "armed");
    EXPECT_EQ(ask("STAT:OPER:COND?"), "32");  // waiting for TRIG
    ask("*TRG");
    EXPECT_EQ(bench.word(), "warning");
    ask("ABOR");
    EXPECT_EQ(bench.word(), "standby");
    EXPECT_EQ(ask("TRIG:SOUR?"), "BUS");
}

TEST_F(Instrument488, ServiceRequestOnATrip) {
    ask("*CLS;STAT:PRES;:STAT:QUES:ENAB 2;*SRE 8");
    EXPECT_EQ(ask("*STB?"), "0");
    ask("ARM;INIT");
    ASSERT_TRUE(bench.wait_state("sending"));
    bench.panel(R"({"fault":"open_loop_a","on":true})");
    ASSERT_TRUE(bench.wait_state("tripped", 20));
    EXPECT_EQ(ask("OUTP:PROT:TRIP?;TRIP:CAUS?"), "1;open_loop");
    EXPECT_EQ(ask("*STB?"), "72");  // questionable summary and master summary
    EXPECT_EQ(ask("STAT:QUES?"), "2");
    EXPECT_EQ(ask("OUTP?;*TST?"), "0;101");
}

TEST_F(Instrument488, ClientsHaveTheirOwnStatus) {
    bench.open(2);
    bench.ask("NONSENSE", 2);
    EXPECT_EQ(error(), "0,\"No error\"");
    EXPECT_EQ(bench.ask("SYST:ERR:COUN?", 2), "1");
    EXPECT_EQ(bench.ask("SYST:ERR:ALL?", 2).substr(0, 4), "-113");
}

TEST_F(Instrument488, TimeIsTheUnitsOwn) {
    bench.wait_s(5);
    EXPECT_EQ(ask("SYST:DATE?"), "2026,6,1");
    EXPECT_EQ(ask("SYST:TIME?").substr(0, 4), "8,0,");
    EXPECT_EQ(ask("STAT:QUES:COND?"), "0");
}

TEST(InstrumentGuard, ATokenProtectsWhatChangesTheUnit) {
    SessionSetup setup = SessionBench::practice();
    setup.guarded = true;
    SessionBench bench(setup, "0123456789abcdef");
    bench.open(1, ampturn::sim::record::Role::watcher);
    ASSERT_TRUE(bench.wait_state("standby"));
    EXPECT_EQ(bench.ask("SYST:PASS:STAT?"), "0");
    bench.ask("ARM");
    EXPECT_EQ(bench.ask("SYST:ERR?").substr(0, 4), "-203");
    EXPECT_EQ(bench.word(), "standby");
    bench.ask("SYST:PASS:CEN 'wrong'");
    EXPECT_EQ(bench.ask("SYST:ERR?").substr(0, 4), "-224");
    bench.ask("SYST:PASS:CEN '0123456789abcdef'");
    bench.ask("ARM");
    EXPECT_EQ(bench.word(), "armed");
    for (const Record& record : bench.records) {
        EXPECT_EQ(record.dump().find("0123456789abcdef"), std::string::npos) << "the token is in the log";
    }
    EXPECT_FALSE(bench.panel(R"({"do":"go"})", ampturn::sim::record::Role::watcher));
    EXPECT_EQ(bench.word(), "armed");
}

TEST(InstrumentNoise, AnyMessageIsAnsweredOrRefused) {
    SessionBench bench(SessionBench::practice());
    bench.open(1);
    // 100 000 messages: random bytes, and pieces of real commands put together at random. Seed printed.
    const unsigned seed = 20260601;
    SCOPED_TRACE(seed);
    std::mt19937 random(seed);
    const std::vector<std::string> pieces = {
        "*",   "?",    ":",    ";",    ",",    " ",     "#",    "\"",      "'",    "(",
        ")",   "LIST", "FREQ", "IDN",  "1e9",  "-3.5",  "KHZ",  "#14abcd", "MAX",  "SYST",
        "ERR", "NEXT", "STAT", "OPER", "ENAB", "65535", "IMAG", "ESE",     "\xFF", "\t",
        "0x1", "#H1F", "MEAS", "VOLT", "E",    "+",     "TRIG", "SOUR",    "BUS",  "POIN"};
    for (int i = 0; i < 100'000; ++i) {
        std::string message;
        const auto length = random() % 12;
        for (auto k = length; k > 0; --k) {
            if (random() % 8 == 0) {
                message += static_cast<char>(random() & 0xFF);
            } else {
                message += pieces[random() % pieces.size()];
            }
        }
        std::erase(message, '\n');
        bench.ask(message);
        if (i % 1000 == 0) bench.records.clear();
    }
    EXPECT_EQ(bench.ask("*CLS;*IDN?").substr(0, 7), "Ampturn");
}

TEST(InstrumentNoise, PanelsCanSendAnything) {
    SessionBench bench(SessionBench::practice());
    EXPECT_TRUE(rc::check([&](const std::string& bytes) { bench.panel(bytes); }));
    for (const char* bad : {"", "[]", "{", "{\"do\":1}", "{\"do\":\"fly\"}", "{\"fault\":\"x\",\"on\":true}",
                            "{\"fault\":\"open_loop_a\"}", "{\"ask\":\"secrets\"}", "{\"drill\":\"finish\"}",
                            "null", "{\"remark\":\"\"}"}) {
        EXPECT_FALSE(bench.panel(bad)) << bad;
    }
    EXPECT_TRUE(bench.panel("{\"remark\":\"\\u0000\\u00e4 \\ud83d\\ude00\"}"));
}

}  // namespace instrument_test
