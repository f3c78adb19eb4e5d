#!/bin/sh
# Which lines of src/ do the tests run? Builds the preset `coverage`, runs all tests and prints the
# share of lines by file, the least covered last, and the total. Usage: tests/coverage.sh [ctest option...]
# Needs gcovr. The lines that no test runs are listed in build/coverage/uncovered.txt.
set -eu
cd "$(dirname "$0")/.."
. ./.ci/packages.sh
build=build/coverage
cmake --preset coverage -DSETTLE_TESTS=ON >/dev/null
cmake --build "$build"
find "$build" -name '*.gcda' -delete
# A failing test is told by ctest; what it ran counts all the same.
# Not the installed library, which an outside program would have to link with the counters.
ctest --test-dir "$build" -j "$jobs" --output-on-failure -E '^install$' "$@" || true
# Lines of the compiler's own making and of a check that cannot fail ("a bug in settle") stay in the count.
gcovr -r . --filter 'src/' --object-directory "$build" --exclude-throw-branches -j "$jobs" \
  --txt "$build/lines.txt" --print-summary
grep -E '^src/' "$build/lines.txt" | awk '$4 != "" { print $4, $1 }' | sort -rn
awk '/^src\// && $5 != "" { print $1, $5 }' "$build/lines.txt" >"$build/uncovered.txt"
grep '^TOTAL' "$build/lines.txt"
