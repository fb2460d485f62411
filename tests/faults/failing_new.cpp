// LD_PRELOAD library: from the start of main on, the AMPTURN_FAILING_NEW-th operator new of the process throws std::bad_alloc, once. At
// the end the number of calls goes to the file AMPTURN_FAILING_NEW_REPORT.
#include <dlfcn.h>
#include <unistd.h>

#include <atomic>
#include <cstdio>
#include <cstdlib>
#include <new>

namespace {

std::atomic<long> calls{0};
std::atomic<bool> armed{false};
long failing = 0;
using Main = int (*)(int, char**, char**);
Main real_main = nullptr;

void* allocated(std::size_t size) {
    if (armed && ++calls == failing) throw std::bad_alloc();
    if (void* const memory = std::malloc(size == 0 ? 1 : size)) return memory;
    throw std::bad_alloc();
}

void* allocated_aligned(std::size_t size, std::align_val_t alignment) {
    if (armed && ++calls == failing) throw std::bad_alloc();
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
