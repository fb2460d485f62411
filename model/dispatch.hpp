#pragma once

/// Before a function whose loops are to be compiled for several instruction sets and chosen at run time.
/// Sources that use it are built without fused multiply-add and with IEEE division and square root, so all
/// versions give the same bits.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__)
#define AMPTURN_DISPATCH __attribute__((target_clones("default", "avx2", "avx512f")))
#else
#define AMPTURN_DISPATCH
#endif
