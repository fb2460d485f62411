// The sequencer on a Cortex-M4: runs the scripts of one host file and writes their traces to another.

#include <algorithm>
#include <array>

#include "firmware-sim/target/semihosting.hpp"
#include "scheduler/run/trace_script.hpp"

namespace {

using ampturn::target::HostFile;

struct TraceFile {
    HostFile file;
    std::array<char, 65'536> buffer;
    std::size_t length;
    bool failed;

    void flush() {
        failed = failed || (length > 0 && !file.write({buffer.data(), length}));
        length = 0;
    }
    void line(std::string_view text) {
        if (length + text.size() + 1 > buffer.size()) flush();
        std::copy(text.begin(), text.end(), buffer.begin() + static_cast<std::ptrdiff_t>(length));
        length += text.size();
        buffer[length++] = '\n';
    }
};

TraceFile trace;
std::array<char, 65'536> input;

int run(HostFile script) {
    ampturn::run::TraceScript runner([](void*, std::string_view text) { trace.line(text); }, nullptr);
    std::array<char, 256> line;
    std::size_t length = 0;
    for (;;) {
        const std::size_t got = script.read(input);
        if (got == 0) break;
        for (std::size_t i = 0; i < got; ++i) {
            if (input[i] != '\n') {
                if (length == line.size()) return 3;
                line[length++] = input[i];
                continue;
            }
            if (runner.line({line.data(), length}).bad) return 4;
            length = 0;
        }
    }
    return 0;
}

}  // namespace

int main() {
    std::array<char, 1'024> words_buffer{};
    std::array<const char*, 2> names{};
    if (!ampturn::target::command_line(words_buffer, names)) return 5;
    const HostFile script = HostFile::open(names[0], false);
    trace.file = HostFile::open(names[1], true);
    if (!script.is_open() || !trace.file.is_open()) return 6;
    const int status = run(script);
    trace.flush();
    return trace.failed || !trace.file.close() ? 7 : status;
}
