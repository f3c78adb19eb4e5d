#if SETTLE_CATCH_MAJOR < 3
#define CATCH_CONFIG_RUNNER
#endif
#include "support/catch.h"

int main(int argc, char** argv) { return Catch::Session().run(argc, argv); }
