#!/bin/sh
# Installs what is missing, builds settle and runs all tests. Usage: tests/run.sh [PRESET...]
# The presets are those of CMakePresets.json (release, debug, sanitize, fuzz); release when none is named.
# `fuzz` builds the fuzz targets only and runs each for FUZZ_SECONDS, two at a time; without FUZZ_SECONDS for 15, and
# without optimising.
# The last line is "N passed, N failed"; the exit status is 0 only when all passed and some ran.
set -u
cd "$(dirname "$0")/.." || exit 1
. ./.ci/packages.sh

passed=0
failed=0

finish() {
  echo "$passed passed, $failed failed"
  [ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
  exit
}

# stop REASON: something before the tests went wrong; that counts as a failure.
stop() {
  echo "$1" >&2
  failed=$((failed + 1))
  finish
}

install_packages "$packages_to_build$packages_to_test" || stop "Packages are missing."

fuzz() {
  install_packages "$packages_to_build$packages_to_fuzz" || stop "Packages are missing."
  # For a short run, building is what takes the time.
  if [ -z "${FUZZ_SECONDS:-}" ]; then speed=-O0; else speed=-O1; fi
  cmake --preset fuzz -DCMAKE_CXX_FLAGS_DEBUG="$speed -g1" >/dev/null || stop "Configuring 'fuzz' failed."
  cmake --build build/fuzz --target fuzz_programs || stop "Building 'fuzz' failed."
  results=$(sh tests/fuzz/run.sh build/fuzz "${FUZZ_SECONDS:-15}")
  echo "$results"
  passed=$((passed + $(echo "$results" | grep -c '^passed ')))
  failed=$((failed + $(echo "$results" | grep -c -v '^passed ')))
}

for preset in "${@:-release}"; do
  echo "== $preset"
  if [ "$preset" = fuzz ]; then
    fuzz
    continue
  fi
  cmake --preset "$preset" -DSETTLE_TESTS=ON >/dev/null || stop "Configuring '$preset' failed."
  cmake --build "build/$preset" || stop "Building '$preset' failed."
  log="build/$preset/ctest.log"
  # No pipe into tee: its status would hide that of ctest.
  ctest --test-dir "build/$preset" -j "$jobs" --output-on-failure --no-tests=error >"$log" 2>&1
  status=$?
  cat "$log"
  # "97% tests passed, 1 tests failed out of 35"
  counts=$(sed -n 's/.*tests passed, \([0-9]*\) tests failed out of \([0-9]*\).*/\1 \2/p' "$log" | tail -n 1)
  [ -n "$counts" ] || stop "No test of '$preset' ran."
  bad=${counts% *}
  all=${counts#* }
  if [ "$status" -ne 0 ] && [ "$bad" -eq 0 ]; then bad=1; fi
  passed=$((passed + all - bad))
  failed=$((failed + bad))
done
finish
