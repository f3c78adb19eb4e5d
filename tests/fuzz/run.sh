#!/bin/sh
# Runs the fuzz targets, two at a time. Usage: tests/fuzz/run.sh BUILD SECONDS [TARGET...]
# BUILD is a folder built with the preset `fuzz`; each target runs SECONDS, all of them without names. Starts
# from tests/fuzz/corpus and from what earlier runs found (BUILD/found). A line for each target:
# "passed NAME ..." or "failed NAME ...", the log in BUILD/fuzz-NAME.log, inputs that failed in BUILD/failed.
set -u
here=$(cd "$(dirname "$0")" && pwd)

# run_one BUILD SECONDS TARGET
run_one() {
  log=$1/fuzz-$3.log
  mkdir -p "$1/found/$3" "$1/failed"
  # The dictionary is for targets that read text; the others take any bytes.
  case $3 in
    pair | agree | board) options='-max_len=400' ;;
    *) options="-max_len=3000 -dict=$here/settle.dict" ;;
  esac
  # Split on purpose: $options holds several words.
  "$1/tests/fuzz/fuzz_$3" -max_total_time="$2" -timeout=60 -rss_limit_mb=2048 $options -print_final_stats=1 \
    -artifact_prefix="$1/failed/$3-" "$1/found/$3" "$here/corpus/$3" >"$log" 2>&1
  status=$?
  runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$log")
  edges=$(sed -n 's/.* cov: \([0-9]*\) .*/\1/p' "$log" | tail -n 1)
  if [ "$status" -eq 0 ] && [ "${runs:-0}" -gt 0 ]; then
    echo "passed fuzz_$3 ($runs inputs, ${edges:-no} edges covered)"
  else
    tail -n 60 "$log" >&2
    echo "failed fuzz_$3 (see $log and $1/failed)"
  fi
}

if [ "$1" = --one ]; then
  run_one "$2" "$3" "$4"
  exit
fi
build=$1
seconds=$2
shift 2
[ $# -ne 0 ] || set -- netlist stimulus pair agree formats board
printf '%s\n' "$@" | xargs -n 1 -P 2 sh "$0" --one "$build" "$seconds"
