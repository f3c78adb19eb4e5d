# The Debian packages that settle needs, each with its reason, and a function that installs what is
# missing. Sourced by examples/demo.sh and tests/run.sh; POSIX sh.
#
# A line: package, a command that proves it is there ("-": ask dpkg), the reason.

packages_to_build='
g++                 g++      the C++20 compiler
cmake               cmake    configures the build
ninja-build         ninja    runs the build
libfmt-dev          -        text formatting
nlohmann-json3-dev  -        JSON documents
libcli11-dev        -        command line options
libcadical-dev      -        the SAT solver behind the proofs about stable states
libncurses-dev      -        the screen on which a circuit is tried by hand
libglpk-dev         -        linear programmes over orders of events, exact in rational numbers (margins)
'

packages_to_test='
catch2              -        the test framework
libz3-dev           -        another solver, to count stable states independently
spin                spin     a model checker, to find the outcomes of races independently (needs gcc)
gcc                 gcc      the C compiler for the verifiers that spin writes
libxml2-utils       xmllint  a reader of XML, for reports in that form
tidy                tidy     a judge of HTML, for pages to hand out
w3c-sgml-lib        -        the definition of SVG 1.1, by which pictures are validated
mandoc              mandoc   a strict reader of manual pages
zsh                 zsh      a shell whose completion is tried
librsvg2-bin        rsvg-convert  PNG and PDF forms of pictures
tmux                tmux     a terminal for the tests of the screen on which a circuit is tried by hand
git                 git      to try the recipes of docs/check.md in a fresh repository
'

packages_to_fuzz='
clang               clang++  its fuzzer leads random inputs by what they reach
libclang-rt-dev     -        the run-time parts of that fuzzer and of the sanitizers of clang
'

# is_installed PACKAGE COMMAND
is_installed() {
  if [ "$2" != - ]; then
    command -v "$2" >/dev/null 2>&1
  else
    [ "$(dpkg-query -W -f '${db:Status-Status}' "$1" 2>/dev/null)" = installed ]
  fi
}

# install_packages LIST: does nothing when all is there. Returns 1 when something stays missing.
install_packages() {
  missing=$(
    printf '%s\n' "$1" | while read -r package proof reason; do
      [ -z "$package" ] || is_installed "$package" "$proof" || printf '%s\n' "$package"
    done
  )
  [ -n "$missing" ] || return 0

  echo "These packages are missing:" >&2
  printf '%s\n' "$1" | while read -r package proof reason; do
    case " $(echo $missing) " in *" ${package:-?} "*) printf '  %-20s %s\n' "$package" "$reason" >&2 ;; esac
  done
  if ! command -v apt-get >/dev/null 2>&1; then
    # No Debian here: libraries may be installed some other way, so let CMake look for them.
    echo "This is no Debian system: please install the like of them. Trying to go on." >&2
    return 0
  fi
  if [ "$(id -u)" = 0 ]; then
    as_root=
  elif command -v sudo >/dev/null 2>&1; then
    as_root=sudo
  else
    echo "Installing them needs root or sudo. As root, run:" >&2
    echo "  apt-get install --no-install-recommends" $missing >&2
    return 1
  fi
  # Split on purpose: $missing is a list of names.
  $as_root env DEBIAN_FRONTEND=noninteractive apt-get update -qq &&
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing >&2 || {
    echo "The packages could not be installed." >&2
    return 1
  }
}

# Ninja where the build folder is new; an old folder keeps the generator it has.
export CMAKE_GENERATOR="${CMAKE_GENERATOR:-Ninja}"
jobs=$(nproc 2>/dev/null || echo 2)
export CMAKE_BUILD_PARALLEL_LEVEL="${CMAKE_BUILD_PARALLEL_LEVEL:-$jobs}"
