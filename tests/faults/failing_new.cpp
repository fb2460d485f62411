// LD_PRELOAD library: from the start of main on, the AMPTURN_FAILING_NEW-th operator new of the process throws std::bad_alloc, once. At
// the end the number of calls goes to the file AMPTURN_FAILING_NEW_REPORT. With AMPTURN_FAILING_NEW_PLACES set, only the first call
// from each place counts: a place is the last eight functions that lead to it.
#include <dlfcn.h>
#include <execinfo.h>
#include <unistd.h>

#include <array>
#include <atomic>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <new>

namespace {

std::atomic<long> calls{0};
std::atomic<bool> armed{false};
long failing = 0;
using Main = int (*)(int, char**, char**);
Main real_main = nullptr;

bool by_places = false;
std::array<std::atomic<std::uint64_t>, 1 << 17> places{};  // open addressing; 0 is free

bool at_new_place() {
    constexpr int own = 3, depth = 8;  // at_new_place, allocated, operator new
    std::array<void*, own + depth> frames{};
    const int count = backtrace(frames.data(), static_cast<int>(frames.size()));
    std::uint64_t hash = 1469598103934665603U;  // FNV-1a, by whole addresses
    for (int i = own; i < count; ++i)
        hash =
            (hash ^ reinterpret_cast<std::uintptr_t>(frames[static_cast<std::size_t>(i)])) * 1099511628211U;
    if (hash == 0) hash = 1;
    for (std::size_t at = hash % places.size();; at = (at + 1) % places.size()) {
        std::uint64_t found = 0;
        if (places[at].compare_exchange_strong(found, hash)) return true;
        if (found == hash) return false;
    }
}

bool fails_now() { return armed && (!by_places || at_new_place()) && ++calls == failing; }

/// As the standard's operator new does it, but once: what the program has set for this is called, and throws.
[[noreturn]] void fail() {
    if (const std::new_handler handler = std::get_new_handler()) handler();
    throw std::bad_alloc();
}

void* allocated(std::size_t size) {
    if (fails_now()) fail();
    if (void* const memory = std::malloc(size == 0 ? 1 : size)) return memory;
    throw std::bad_alloc();
}

void* allocated_aligned(std::size_t size, std::align_val_t alignment) {
    if (fails_now()) fail();
    void* memory = nullptr;
    if (posix_memalign(&memory, static_cast<std::size_t>(alignment), size == 0 ? 1 : size) == 0)
        return memory;
    throw std::bad_alloc();
}

void report() {
    armed = false;
    const char* const path = std::getenv("AMPTURN_FAILING_NEW_REPORT");
    if (path == nullptr) return;
    if (std::FILE* const file = std::fopen(path, "w")) {
        std::fprintf(file, "%ld\n", calls.load());
        std::fclose(file);
    }
}

int counted_main(int argc, char** argv, char** environment) {
    if (const char* const wanted = std::getenv("AMPTURN_FAILING_NEW")) failing = std::atol(wanted);
    by_places = std::getenv("AMPTURN_FAILING_NEW_PLACES") != nullptr;
    std::array<void*, 1> loads_what_backtrace_needs{};
    backtrace(loads_what_backtrace_needs.data(), 1);
    std::atexit(report);
    armed = true;
    const int result = real_main(argc, argv, environment);
    armed = false;
    return result;
}

}  // namespace

void* operator new(std::size_t size) { return allocated(size); }
void* operator new[](std::size_t size) { return allocated(size); }
void* operator new(std::size_t size, std::align_val_t alignment) {
    return allocated_aligned(size, alignment);
}
void* operator new[](std::size_t size, std::align_val_t alignment) {
    return allocated_aligned(size, alignment);
}
void operator delete(void* memory) noexcept { std::free(memory); }
void operator delete[](void* memory) noexcept { std::free(memory); }
void operator delete(void* memory, std::size_t) noexcept { std::free(memory); }
void operator delete[](void* memory, std::size_t) noexcept { std::free(memory); }
void operator delete(void* memory, std::align_val_t) noexcept { std::free(memory); }
void operator delete[](void* memory, std::align_val_t) noexcept { std::free(memory); }
void operator delete(void* memory, std::size_t, std::align_val_t) noexcept { std::free(memory); }
void operator delete[](void* memory, std::size_t, std::align_val_t) noexcept { std::free(memory); }

extern "C" int __libc_start_main(Main main, int argc, char** argv, void (*init)(), void (*fini)(),
                                 void (*rtld_fini)(), void* stack_end) {
    using Start = int (*)(Main, int, char**, void (*)(), void (*)(), void (*)(), void*);
    real_main = main;
    const auto start = reinterpret_cast<Start>(dlsym(RTLD_NEXT, "__libc_start_main"));
    return start(counted_main, argc, argv, init, fini, rtld_fini, stack_end);
}
