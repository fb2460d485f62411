#include "firmware-sim/net/desk.hpp"

#include <utility>

namespace ampturn::sim {

void Desk::submit(Request request) {
    {
        const std::lock_guard lock(mutex_);
        requests_.push_back(std::move(request));
    }
    changed_.notify_one();
}

void Desk::quit() {
    {
        const std::lock_guard lock(mutex_);
        quit_ = true;
    }
    changed_.notify_one();
}

Desk::Woken Desk::wait_until(std::chrono::steady_clock::time_point until) {
    std::unique_lock lock(mutex_);
    changed_.wait_until(lock, until, [this] { return quit_ || !requests_.empty(); });
    if (quit_) return Woken::quit;
    return requests_.empty() ? Woken::time : Woken::request;
}

bool Desk::take(Request& request) {
    const std::lock_guard lock(mutex_);
    if (requests_.empty()) return false;
    request = std::move(requests_.front());
    requests_.pop_front();
    return true;
}

}  // namespace ampturn::sim
