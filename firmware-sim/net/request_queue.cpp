#include "firmware-sim/net/request_queue.hpp"

#include <utility>

namespace ampturn::sim::net {

void RequestQueue::submit(record::SessionInput request) {
    {
        const std::lock_guard lock(mutex_);
        requests_.push_back(std::move(request));
    }
    changed_.notify_one();
}

void RequestQueue::quit(std::string why) {
    {
        const std::lock_guard lock(mutex_);
        quit_ = true;
        why_quit_ = std::move(why);
    }
    changed_.notify_one();
}

std::string RequestQueue::why_quit() {
    const std::lock_guard lock(mutex_);
    return why_quit_;
}

RequestQueue::WakeReason RequestQueue::wait_until(std::chrono::steady_clock::time_point until) {
    std::unique_lock lock(mutex_);
    changed_.wait_until(lock, until, [this] { return quit_ || !requests_.empty(); });
    if (quit_) return WakeReason::quit;
    return requests_.empty() ? WakeReason::time : WakeReason::request;
}

bool RequestQueue::take(record::SessionInput& request) {
    const std::lock_guard lock(mutex_);
    if (requests_.empty()) return false;
    request = std::move(requests_.front());
    requests_.pop_front();
    return true;
}

}  // namespace ampturn::sim::net
