#!/usr/bin/env bash
# A shop's guides are all there or not at all: interrupted, ended, killed, on a full disk, in a directory that may not be written
# to. A run that may end leaves nothing; after SIGKILL the unfinished directory stays under a name of its own.
# usage: shop_faults.sh PROGRAM   (run in the project's directory)
set -uo pipefail
program=$1
work=$(mktemp -d)
trap 'umount "$work/disk" 2>/dev/null; rm -rf "$work"' EXIT
export SOURCE_DATE_EPOCH=0
shop=(guide --cars 'examples/fleet/cars/*.ini' --pumps 'examples/fleet/pumps/*.ini' --static --seed 1)
bad=0
complain() {
  echo "shop_faults: $*"
  bad=1
}

"$program" "${shop[@]}" --output "$work/whole" >/dev/null || complain "the shop has no guides"
[ "$(find "$work/whole" -type f | wc -l)" -eq 37 ] || complain "not 36 guides and an index"

# ended SIGNAL STATUS LEFT: the signal after some hundredths of a second; LEFT: whether a part may be left.
ended() {
  local signal=$1 wanted=$2 left=$3 moment status whole=0 none=0
  for moment in 0.05 0.2 0.5 0.9 1.4; do
    rm -rf "$work"/guides*
    set -m
    "$program" "${shop[@]}" --output "$work/guides" >/dev/null 2>"$work/errors" &
    local job=$!
    set +m
    sleep "$moment"
    kill "-$signal" "$job" 2>/dev/null
    status=0
    wait "$job" 2>/dev/null || status=$?
    if [ -d "$work/guides" ]; then
      whole=$((whole + 1))
      diff -r "$work/whole" "$work/guides" >/dev/null || complain "$signal after $moment s left half a directory"
      continue
    fi
    none=$((none + 1))
    [ "$status" -eq "$wanted" ] || complain "$signal after $moment s: status $status"
    [ "$left" = yes ] || [ -z "$(find "$work" -name 'guides*')" ] || complain "$signal after $moment s left $(ls "$work")"
    [ "$left" = yes ] || grep -q interrupted "$work/errors" || [ ! -s "$work/errors" ] || complain "$(cat "$work/errors")"
  done
  [ "$none" -gt 0 ] || complain "$signal never came in time"
}
ended INT 1 no
ended TERM 1 no
ended HUP 1 no
ended KILL 137 yes

# What is there already stays as it is.
rm -rf "$work"/guides*
mkdir "$work/guides"
echo mine >"$work/guides/mine"
"$program" "${shop[@]}" --output "$work/guides" >/dev/null 2>&1
[ $? -eq 2 ] && [ "$(cat "$work/guides/mine")" = mine ] || complain "a directory with files in it was touched"

refused() { # STATUS WHAT: one line, and nothing beside what was there
  local status=0
  "$program" "${shop[@]}" --output "$2" >/dev/null 2>"$work/errors" || status=$?
  [ "$status" -eq "$1" ] || complain "$2: status $status"
  [ "$(wc -l <"$work/errors")" -eq 1 ] || complain "$2: $(cat "$work/errors")"
}
refused 1 /proc/guides
refused 1 "$work/none/guides"
mkdir "$work/disk"
if mount -t tmpfs -o size=300k tmpfs "$work/disk" 2>/dev/null; then
  refused 1 "$work/disk/guides"
  [ -z "$(ls -A "$work/disk")" ] || complain "a full disk keeps $(ls "$work/disk")"
  umount "$work/disk"
else
  echo "no small disk can be mounted here; a full one is not tried"
fi
[ "$bad" -eq 0 ] && echo "a shop's guides: whole or not there"
exit "$bad"
