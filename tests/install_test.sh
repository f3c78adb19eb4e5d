#!/bin/sh
# Installs the build into a staging folder and uses it from outside: the program runs, an outside
# project finds the package, compiles against the headers, links the library and simulates.
# Usage: install_test.sh BUILD_FOLDER CXX [SANITIZERS]; called by CTest.
set -eu
build=$1
cxx=$2
sanitize=${3:-}
source=$(cd "$(dirname "$0")/.." && pwd)
stage=$build/install_test
prefix=$stage/prefix
rm -rf "$stage"
mkdir -p "$stage/outside"

cmake --install "$build" --prefix "$prefix" >"$stage/install.log"

for wanted in bin/settle include/settle/circuit.h share/man/man1/settle.1 \
  share/man/man1/settle-run.1 share/man/man5/settle-netlist.5 share/man/man7/settle-meaning.7; do
  [ -f "$prefix/$wanted" ] || { echo "not installed: $wanted"; exit 1; }
done
version=$("$prefix/bin/settle" --version)
echo "$version"

cat >"$stage/outside/CMakeLists.txt" <<'END'
cmake_minimum_required(VERSION 3.25)
project(outside LANGUAGES CXX)
find_package(settle 0.1 REQUIRED)
add_executable(outside main.cpp)
target_link_libraries(outside PRIVATE settle::settle)
target_compile_features(outside PRIVATE cxx_std_20)
END
cat >"$stage/outside/main.cpp" <<'END'
#include <cstdio>

#include "settle/elaborate.h"
#include "settle/kernel.h"
#include "settle/report.h"

// Sets the block memory, takes the input away and expects the bit to stay.
int main(int argc, char** argv) {
  if (argc != 2) return 2;
  settle::DiskReader files;
  settle::Sources sources;
  settle::Diagnostics diagnostics;
  const auto circuit = settle::load_circuit(argv[1], files, {}, sources, diagnostics);
  if (!circuit) {
    std::fputs(settle::render(diagnostics, sources).c_str(), stderr);
    return 1;
  }
  settle::Kernel kernel(*circuit);
  const auto enter = circuit->find_net("enter"), leave = circuit->find_net("leave");
  const auto occupied = circuit->find_net("occupied");
  if (!enter || !leave || !occupied) return 1;
  const std::vector<settle::Value> inputs(circuit->input_count(), settle::Value::zero);
  const std::vector<settle::Value> gates(circuit->gate_count(), settle::Value::x);
  kernel.power_up(inputs, gates);
  kernel.set_input(*enter, settle::Value::one);
  kernel.run_instant(0);
  while (const auto next = kernel.next_time()) kernel.run_instant(*next);
  kernel.set_input(*enter, settle::Value::zero);
  kernel.run_instant(kernel.now());
  while (const auto next = kernel.next_time()) kernel.run_instant(*next);
  std::printf("settle %s: occupied=%c\n", std::string(settle::version()).c_str(),
              settle::to_char(kernel.value(*occupied)));
  return kernel.value(*occupied) == settle::Value::one ? 0 : 1;
}
END

flags=
[ -z "$sanitize" ] || flags=-fsanitize=$sanitize
cmake -S "$stage/outside" -B "$stage/outside/build" -DCMAKE_PREFIX_PATH="$prefix" \
  -DCMAKE_CXX_COMPILER="$cxx" -DCMAKE_CXX_FLAGS="$flags" -DCMAKE_BUILD_TYPE=Debug >"$stage/outside.log"
cmake --build "$stage/outside/build" >>"$stage/outside.log"
"$stage/outside/build/outside" "$source/examples/block_memory.gates"
