#pragma once

#include <cstddef>

/// AMPTURN_DISPATCH(name, parameters, call): a function `name` compiled for several instruction sets, the
/// best the machine has chosen at run time. `call` sees a constant `width`, the doubles a vector of that set
/// holds (4 or 8). Sources that use it are built without fused multiply-add and with IEEE division and square
/// root, and a lane's result does not depend on the width, so all versions give the same bits. Built with
/// AMPTURN_PLAIN_VECTORS there is one version only, for what the compiler was told to build for.
#define AMPTURN_VERSION(attribute, lanes, name, parameters, ...) \
    attribute void name parameters {                             \
        [[maybe_unused]] constexpr std::size_t width = lanes;    \
        __VA_ARGS__;                                             \
    }

#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__) && \
    !defined(__SANITIZE_THREAD__) && !defined(AMPTURN_PLAIN_VECTORS)
#define AMPTURN_DISPATCH(name, parameters, ...)                                   \
    AMPTURN_VERSION([[gnu::target("default")]], 4, name, parameters, __VA_ARGS__) \
    AMPTURN_VERSION([[gnu::target("avx2")]], 4, name, parameters, __VA_ARGS__)    \
    AMPTURN_VERSION([[gnu::target("avx512f")]], 8, name, parameters, __VA_ARGS__)
#else
#define AMPTURN_DISPATCH(name, parameters, ...) AMPTURN_VERSION(, 4, name, parameters, __VA_ARGS__)
#endif
