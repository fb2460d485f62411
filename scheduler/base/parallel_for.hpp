#pragma once

#include <cstddef>
#include <functional>

namespace ampturn::base {

/// Calls work(0) to work(count - 1), each once, on up to `threads` threads. The calls may not depend on each
/// other. When some throw, the exception of the lowest index is rethrown after all have ended, so that what
/// is reported does not depend on the thread count.
void parallel_for(std::size_t count, unsigned threads, const std::function<void(std::size_t)>& work);

/// So many threads; for 0 as many as the machine has.
unsigned thread_count(unsigned wanted);

}  // namespace ampturn::base
