// Internals of look_ahead() that tests reach for.
#pragma once

#include <cstdint>

#include "settle/kernel.h"

namespace settle {

/// look_ahead() with all hashes cut down to the bits of `hash_mask`: tests make different states
/// collide.
Continuation look_ahead_with(const Kernel& kernel, Time limit, std::uint64_t hash_mask,
                             const std::atomic<bool>* stop = nullptr);

}  // namespace settle
