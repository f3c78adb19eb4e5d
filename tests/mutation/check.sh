#!/bin/sh
# Does a test notice when the code is wrong? Puts each fault of faults.txt into a copy of the sources,
# builds the test that must notice and runs it; it must fail. Usage: tests/mutation/check.sh [WORD...]
# With words, only faults whose name has one of them. Takes some minutes. Leaves the sources alone.
# The last line is "N caught, N missed"; the exit status is 0 when none was missed.
set -u
here=$(cd "$(dirname "$0")" && pwd)
source_dir=$(cd "$here/../.." && pwd)
work=${MUTATION_DIR:-$source_dir/build/mutation}
tree=$work/tree
build=$tree/build/mutation
mkdir -p "$tree" || exit 1
for item in CMakeLists.txt include src tests docs examples; do
  rm -rf "${tree:?}/$item"
  cp -R "$source_dir/$item" "$tree/" || exit 1
done
cmake -S "$tree" -B "$build" -G Ninja -DCMAKE_BUILD_TYPE=Debug -DCMAKE_CXX_FLAGS_DEBUG=-O1 -DSETTLE_BENCH=OFF \
  ${MUTATION_CMAKE:-} >/dev/null || exit 1

caught=0
missed=0

# fails PROGRAM CASE: builds and runs one test case. 0: it fails. 1: it passes. 2: it cannot be run.
# A fault may make a test run for ever or use up memory, which is noticed as well.
fails() {
  cmake --build "$build" --target "$1" >"$work/build.log" 2>&1 || return 2
  (ulimit -v 4000000; timeout 300 "$build/tests/$1" "$2") >"$work/test.log" 2>&1
  status=$?
  [ "$status" -ne 0 ] && return 0
  grep -q 'All tests passed' "$work/test.log" && return 1
  return 2
}

# judge NAME FILE EDIT PROGRAM CASE
judge() {
  cp "$tree/$2" "$work/good" || exit 1
  sed "$3" "$work/good" >"$tree/$2"
  changed=$(diff "$work/good" "$tree/$2" | grep -c '^>')
  if [ "$changed" -ne 1 ]; then
    result="missed: the edit changes $changed lines of $2"
  else
    fails "$4" "$5"
    case $? in
      0) result=caught ;;
      1) result="missed by $4 '$5'" ;;
      *) result="missed: $4 '$5' does not build or has no such test case" ;;
    esac
  fi
  # A new time, so that it is built again.
  cat "$work/good" >"$tree/$2"
  case $result in caught) caught=$((caught + 1)) ;; *) missed=$((missed + 1)) ;; esac
  echo "$result: $1"
}

# The tests must pass without a fault: all that are named, once.
sed -n 's/^test: //p' "$here/faults.txt" | sort -u >"$work/tests"
while read -r program case; do
  fails "$program" "$case"
  case $? in
    1) ;;
    *) echo "without any fault: $program '$case' does not pass" ; missed=$((missed + 1)) ;;
  esac
done <"$work/tests"

while IFS= read -r line; do
  text=${line#*: }
  case $line in
    fault:*) name=$text ;;
    file:*) file=$text ;;
    edit:*) edit=$text ;;
    test:*)
      wanted=$#
      for word in "$@"; do case $name in *"$word"*) wanted=0 ;; esac; done
      [ "$wanted" -eq 0 ] && judge "$name" "$file" "$edit" "${text%% *}" "${text#* }"
      ;;
  esac
done <"$here/faults.txt"
echo "$caught caught, $missed missed"
[ "$missed" -eq 0 ]
