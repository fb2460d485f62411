// fault_run FAULT N FOLDER REPORT COMMAND...: runs a command under ptrace and lets its N-th call of a kind go wrong once, as the kernel
// would. Only calls about files below FOLDER, and about its standard input and output, count, so that libraries load. Writes how many
// calls of the kind it saw, or up to N, to REPORT; returns what the command returns, 128 + signal when one ended it, 125 for trouble of
// its own. N = 0 lets nothing go wrong. x86-64 Linux.
//
// Faults: open read write sync rename close mkdir, each with what goes wrong: open:EACCES, write:ENOSPC, write:short, read:EINTR ...
#include <sys/ptrace.h>
#include <sys/syscall.h>
#include <sys/user.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace {

struct Call {
    const char* family;
    long number;
    int descriptor;  // which argument is one; -1: none
    int path;        // which argument is a path; -1: none
    int count;       // which argument is a number of bytes that may be less; -1: none
};

constexpr std::array calls{
    Call{"open", SYS_open, -1, 0, -1},        Call{"open", SYS_openat, -1, 1, -1},
    Call{"read", SYS_read, 0, -1, 2},         Call{"read", SYS_pread64, 0, -1, 2},
    Call{"read", SYS_readv, 0, -1, -1},       Call{"write", SYS_write, 0, -1, 2},
    Call{"write", SYS_pwrite64, 0, -1, 2},    Call{"write", SYS_writev, 0, -1, -1},
    Call{"sync", SYS_fsync, 0, -1, -1},       Call{"sync", SYS_fdatasync, 0, -1, -1},
    Call{"rename", SYS_rename, -1, 0, -1},    Call{"rename", SYS_renameat, -1, 1, -1},
    Call{"rename", SYS_renameat2, -1, 1, -1}, Call{"close", SYS_close, 0, -1, -1},
    Call{"mkdir", SYS_mkdir, -1, 0, -1},      Call{"mkdir", SYS_mkdirat, -1, 1, -1},
};

const std::map<std::string, int, std::less<>> errors{{"EIO", EIO},       {"ENOSPC", ENOSPC},
                                                     {"EINTR", EINTR},   {"EACCES", EACCES},
                                                     {"EMFILE", EMFILE}, {"EDQUOT", EDQUOT}};

struct Wish {
    std::string family;
    int error = 0;  // 0: short
    long n = 0;
    std::string folder;
};

std::array<unsigned long long, 6> arguments_of(const user_regs_struct& registers) {
    return {registers.rdi, registers.rsi, registers.rdx, registers.r10, registers.r8, registers.r9};
}

std::string text_at(pid_t child, unsigned long long address) {
    std::string text;
    while (text.size() < 4096) {
        errno = 0;
        const long word = ptrace(PTRACE_PEEKDATA, child, address + text.size(), nullptr);
        if (errno != 0) return text;
        std::array<char, sizeof word> bytes;
        std::memcpy(bytes.data(), &word, sizeof word);
        for (const char c : bytes) {
            if (c == '\0') return text;
            text += c;
        }
    }
    return text;
}

std::string link_at(const std::string& path) {
    std::array<char, 4096> text;
    const ssize_t length = readlink(path.c_str(), text.data(), text.size());
    return length < 0 ? std::string() : std::string(text.data(), static_cast<std::size_t>(length));
}

bool concerns(pid_t child, const Call& call, const user_regs_struct& registers, const Wish& wish) {
    const auto arguments = arguments_of(registers);
    const std::string of_child = "/proc/" + std::to_string(child);
    if (call.path >= 0) {
        std::string path = text_at(child, arguments[static_cast<std::size_t>(call.path)]);
        if (!path.starts_with('/')) path = link_at(of_child + "/cwd") + "/" + path;
        return path.starts_with(wish.folder);
    }
    const auto descriptor = static_cast<int>(arguments[0]);
    if (descriptor == 2) return false;  // that is where it says what is wrong
    const std::string file = link_at(of_child + "/fd/" + std::to_string(descriptor));
    return file.starts_with(wish.folder) || (descriptor < 2 && call.family != std::string_view("close"));
}

const Call* call_of(const user_regs_struct& registers, const Wish& wish) {
    for (const Call& call : calls)
        if (call.number == static_cast<long>(registers.orig_rax) && wish.family == call.family) return &call;
    return nullptr;
}

/// Follows the command to its end.
class Tracer {
  public:
    Tracer(pid_t child, Wish wish) : child_(child), wish_(std::move(wish)) {}

    int follow() {
        int status = 0;
        if (waitpid(child_, &status, 0) != child_ || !WIFSTOPPED(status)) return 125;
        ptrace(PTRACE_SETOPTIONS, child_, nullptr,
               PTRACE_O_TRACESYSGOOD | PTRACE_O_TRACECLONE | PTRACE_O_EXITKILL);
        ptrace(PTRACE_SYSCALL, child_, nullptr, nullptr);
        while (true) {
            const pid_t thread = waitpid(-1, &status, __WALL);
            if (thread < 0) return 125;
            if (WIFEXITED(status) || WIFSIGNALED(status)) {
                if (thread != child_) continue;
                return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
            }
            int signal = WSTOPSIG(status);
            if (signal == (SIGTRAP | 0x80)) {
                at_call(thread);
                signal = 0;
            } else if (signal == SIGTRAP || (signal == SIGSTOP && !seen_.contains(thread))) {
                signal = 0;  // a new thread, or news of one
            }
            seen_[thread] = true;
            ptrace(PTRACE_SYSCALL, thread, nullptr, signal);
        }
    }
    long count() const { return count_; }

  private:
    void at_call(pid_t thread) {
        user_regs_struct registers{};
        ptrace(PTRACE_GETREGS, thread, nullptr, &registers);
        bool& inside = inside_[thread];
        inside = !inside;
        if (inside) {
            enter(thread, registers);
        } else if (failing_ == thread) {
            failing_ = 0;
            registers.rax = static_cast<unsigned long long>(-wish_.error);
            ptrace(PTRACE_SETREGS, thread, nullptr, &registers);
        }
    }

    void enter(pid_t thread, user_regs_struct& registers) {
        const Call* call = call_of(registers, wish_);
        if (call == nullptr || (count_ == wish_.n && wish_.n > 0) ||
            !concerns(thread, *call, registers, wish_))
            return;
        if (wish_.error == 0 && (call->count < 0 || registers.rdx < 2)) return;
        if (++count_ != wish_.n) return;
        if (wish_.error == 0) {
            registers.rdx = (registers.rdx + 1) / 2;
        } else {
            // A close that fails has closed all the same (close(2)); any other call that fails is not made.
            if (call->family != std::string_view("close")) registers.orig_rax = ~0ULL;
            failing_ = thread;
        }
        ptrace(PTRACE_SETREGS, thread, nullptr, &registers);
    }

    pid_t child_;
    Wish wish_;
    long count_ = 0;
    pid_t failing_ = 0;
    std::map<pid_t, bool> inside_, seen_;
};

}  // namespace

int main(int argc, char** argv) {
    if (argc < 6) {
        std::fprintf(stderr, "usage: fault_run FAMILY:FAULT N FOLDER REPORT COMMAND...\n");
        return 125;
    }
    const std::string_view fault = argv[1];
    const std::size_t colon = fault.find(':');
    if (colon == std::string_view::npos) return 125;
    Wish wish{.family = std::string(fault.substr(0, colon)),
              .error = 0,
              .n = std::atol(argv[2]),
              .folder = argv[3]};
    if (const std::string_view what = fault.substr(colon + 1); what != "short") {
        const auto found = errors.find(what);
        if (found == errors.end()) return 125;
        wish.error = found->second;
    }
    const pid_t child = fork();
    if (child == 0) {
        ptrace(PTRACE_TRACEME, 0, nullptr, nullptr);
        raise(SIGSTOP);
        execvp(argv[5], argv + 5);
        _exit(126);
    }
    // Whoever asks the command to end asks this one.
    static pid_t asked;
    asked = child;
    std::signal(SIGTERM, [](int number) { kill(asked, number); });
    Tracer tracer(child, wish);
    const int result = tracer.follow();
    std::ofstream(argv[4]) << tracer.count() << "\n";
    return result;
}
