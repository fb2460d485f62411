#include "scheduler/base/parallel_for.hpp"

#include <algorithm>
#include <atomic>
#include <exception>
#include <future>
#include <thread>
#include <vector>

namespace ampturn::base {

void parallel_for(std::size_t count, unsigned threads, const std::function<void(std::size_t)>& work) {
    std::atomic<std::size_t> next{0};
    std::vector<std::exception_ptr> failures(count);
    const auto take = [&] {
        for (std::size_t i = next++; i < count; i = next++) {
            try {
                work(i);
            } catch (...) {
                failures[i] = std::current_exception();
            }
        }
    };
    {
        std::vector<std::future<void>> pool;  // each waits for its thread when it goes
        for (unsigned t = 1; t < std::min<std::size_t>(threads, count); ++t)
            pool.push_back(std::async(std::launch::async, take));
        take();
    }
    for (const std::exception_ptr& failure : failures)
        if (failure) std::rethrow_exception(failure);
}

unsigned thread_count(unsigned wanted) {
    return wanted > 0 ? wanted : std::max(1u, std::thread::hardware_concurrency());
}

}  // namespace ampturn::base
