// Catch2 of either major version.
#pragma once

#if SETTLE_CATCH_MAJOR >= 3
#include <catch2/catch_all.hpp>
#else
#include <catch2/catch.hpp>
#endif
