#!/bin/sh
# A tour of settle in the signal cabin of a garden railway. Installs what the build needs, builds the
# program into build/demo (no tests) and runs some of the examples. Usage: sh examples/demo.sh
set -eu
cd "$(dirname "$0")/.."
. ./.ci/packages.sh

install_packages "$packages_to_build"
echo "Building settle into build/demo (a minute or two) ..."
mkdir -p build/demo
{
  cmake -S . -B build/demo -DCMAKE_BUILD_TYPE=Release -DSETTLE_UNITY=ON -DSETTLE_TESTS=OFF \
    -DSETTLE_BENCH=OFF &&
    cmake --build build/demo --target settle_program
} >build/demo/build.log 2>&1 || {
  cat build/demo/build.log
  echo "The build failed." >&2
  exit 1
}
PATH=$PWD/build/demo:$PATH
cd examples

title() { printf '\n== %s\n\n' "$1"; }
show() {
  echo "\$ $*"
  "$@"
}

title "1. One bit from two NOR gates"
sed '/^#/d; /^$/d' block_memory.gates
echo
show settle run block_memory.gates --set enter=0,leave=0
echo "Nothing has been stored, so both outputs are unknown: the tool does not invent a value."

title "2. A train passes; then both sensors let go at once"
show settle run block_memory.gates block_memory.stim

title "3. An attempt that stores nothing"
sed '/^#/d; /^$/d; /^include/d' single_lever.gates
echo
show settle run single_lever.gates single_lever.stim
echo "The output is the lever, two gate delays late. It has a loop, but no memory."

title "4. Three inverters in a ring, 9 ns each"
show settle run ring.gates ring.stim

title "5. Eight turnouts stored at one stroke"
show settle run route_register.gates route_register.stim

echo
echo "The program is build/demo/settle; the netlists (*.gates) and stimuli (*.stim) are in examples/."
echo "A simulation is no safety case: extra-low voltage only, disconnect before rewiring."
