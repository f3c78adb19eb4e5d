#!/bin/sh
# Draws the pictures of the pages. Usage: sh docs/pictures/make.sh SETTLE [FOLDER]
# SETTLE is the program; pictures go to docs/pictures, or to FOLDER. With --check as FOLDER nothing is written:
# pictures are drawn to a fresh folder and must be those of docs/pictures, byte by byte.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
examples=$here/../../examples
settle=$1
folder=${2:-$here}
check=no
if [ "$folder" = --check ]; then
  check=yes
  folder=$(mktemp -d)
  trap 'rm -r "$folder"' EXIT
fi

draw() {
  name=$1
  netlist=$2
  shift 2
  "$settle" draw "$examples/$netlist.gates" "$@" --quiet -o "$folder/$name.svg"
}

for example in "$examples"/*.gates; do
  name=$(basename "$example" .gates)
  case $name in
    lever_latch) draw "$name" "$name" --open block_memory ;;
    gated_block | single_lever) draw "$name" "$name" --flat ;;
    first_to_ask) draw "$name" "$name" --symbols rectangles --net-names ;;
    *) draw "$name" "$name" ;;
  esac
done
draw gated_block_timing gated_block "$examples/gated_block.stim" --kind timing
draw lever_latch_timing lever_latch "$examples/lever_latch.stim" --kind timing --causes
draw lever_latch_measured lever_latch "$examples/lever_latch.stim" --kind timing --measure lever:seen --measure seen:seen
draw lever_latch_at_25 lever_latch "$examples/lever_latch.stim" --flat --at 25
for example in block_memory lever_latch bell_divider first_to_ask; do
  draw "${example}_states" $example --kind states
done

if [ $check = yes ]; then
  status=0
  for picture in "$here"/*.svg; do
    cmp "$picture" "$folder/$(basename "$picture")" || status=1
  done
  for picture in "$folder"/*.svg; do
    [ -e "$here/$(basename "$picture")" ] || { echo "$(basename "$picture") is missing in docs/pictures"; status=1; }
  done
  [ $status = 0 ] || echo "Look at the pictures, then: sh docs/pictures/make.sh $settle"
  exit $status
fi
