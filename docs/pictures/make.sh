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
draw lever_latch_measured lever_latch "$examples/lever_latch.stim" --kind timing --measure lever:seen --measure seen:seen
draw lever_latch_at_25 lever_latch "$examples/lever_latch.stim" --flat --at 25
for stimulus in "$examples"/*.stim; do
  name=$(basename "$stimulus" .stim)
  [ -e "$examples/$name.gates" ] || continue
  case $name in
    lever_latch) draw "${name}_timing" "$name" "$stimulus" --kind timing --causes ;;
    *) draw "${name}_timing" "$name" "$stimulus" --kind timing ;;
  esac
done
# The ring has no stable state, the route register has thousands.
for name in bell_divider block_memory button_memory first_to_ask gated_block lever_board lever_latch single_lever; do
  draw "${name}_states" "$name" --kind states
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
