#pragma once

/// BLENDRISK_CLONES marks a loop over cases to be compiled for several x86-64 levels, the best of
/// them chosen when the program starts: one binary runs anywhere and is fast where it can be.
/// Empty for other compilers and processors, and under sanitizers (their run-time library and the
/// loader's choice of a clone do not mix).
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(BLENDRISK_NO_CLONES) && !defined(__SANITIZE_ADDRESS__) && \
    !defined(__SANITIZE_THREAD__)
#define BLENDRISK_CLONES \
  __attribute__((target_clones("default", "arch=x86-64-v3", "arch=x86-64-v4")))
#else
#define BLENDRISK_CLONES
#endif

/// Functions that such a loop calls have to be inlined into every clone to be vectorised with it.
#define BLENDRISK_LANE [[gnu::always_inline]] inline
