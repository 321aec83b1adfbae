#!/usr/bin/env bash
# Every file is whole or not there: killed at any moment, on a full disk, past a size limit, in a
# directory that may not be written to; every answer that cannot be written is told in one line.
# The moments are those of a fixed seed. Nothing is drawn where gnuplot is missing.
# usage: faults.sh PROGRAM [KILLS [only]]   (run in the project's directory; only: nothing after the kills)
set -uo pipefail
program=$1
kills=${2:-100}
work=$(mktemp -d)
disk=$work/disk
mkdir "$disk" "$work/out"
trap 'umount "$disk" 2>/dev/null; rm -rf "$work"' EXIT
export SOURCE_DATE_EPOCH=0
RANDOM=7

bad=0
complain() {
  echo "faults: $*"
  bad=1
}

# The commands that write a file, each with the name's ending; and a long text to be written.
axis=(--along heel.indicated=4:10:0.5L)
cells=(--rows heel.indicated=2:9:0.5L --columns "fuel.content=74 %; 76 %; 78 %; 80 %")
declare -A writes
writes=([table.csv]="table examples/sedan.ini" [curve.csv]="curve examples/sedan.ini")
if command -v gnuplot >/dev/null; then
  for ending in svg png pdf; do
    for command in chance arrive drivers curve; do
      writes[$command.$ending]="$command examples/wagon-line.ini"
    done
  done
  writes[guide.html]="guide examples/wagon-line.ini"
fi
"$program" table examples/sedan.ini "${cells[@]}" --part 1/1 --output "$work/part.csv" >/dev/null
{
  head -n 3 "$work/part.csv"
  for _ in $(seq 20000); do tail -n +4 "$work/part.csv"; done
} >"$work/parts.csv"
writes[join.csv]="table --join $work/parts.csv"

# run NAME FILE: the command NAME writes FILE.
run() {
  local words
  read -ra words <<<"${writes[$1]}"
  case $1 in
    table.*) words+=("${cells[@]}") ;;
    curve.*) words+=("${axis[@]}") ;;
  esac
  exec "$program" "${words[@]}" --output "$2"
}

# Whether FILE is all of what NAME writes: its bytes, but for the date in a PDF.
whole() {
  case $1 in
    *.pdf) [ "$(head -c 5 "$2")" = %PDF- ] && tail -c 8 "$2" | grep -q %%EOF ;;
    *) cmp -s "$2" "$work/whole.$1" ;;
  esac
}

names=()
declare -A takes
for name in $(printf '%s\n' "${!writes[@]}" | sort); do
  names+=("$name")
  start=$(date +%s%N)
  (run "$name" "$work/whole.$name" >/dev/null) || complain "$name: cannot be made"
  takes[$name]=$((($(date +%s%N) - start) / 1000))
done

# Killed. A background job takes interrupts only under job control.
set -m
inside=0
made=0
left=0
for ((i = 0; i < kills; ++i)); do
  name=${names[i % ${#names[@]}]}
  signal=$((i / ${#names[@]} % 2 ? 9 : 2))
  target=$work/out/$name
  rm -f "$work"/out/*
  ((RANDOM % 2)) && echo "as it was" >"$target"
  cp "$target" "$work/before" 2>/dev/null || rm -f "$work/before"
  moment=$((takes[$name] * (RANDOM % 1000) / 950))
  (run "$name" "$target" >/dev/null 2>"$work/errors") &
  job=$!
  sleep "$(printf '%d.%06d' $((moment / 1000000)) $((moment % 1000000)))"
  # Every other time the whole group, as a terminal does, with gnuplot in it.
  if ((RANDOM % 2)); then kill -$signal "$job"; else kill -$signal -- "-$job"; fi 2>/dev/null
  wait "$job" 2>/dev/null
  status=$?
  ((status > 0)) && inside=$((inside + 1))
  if [ -e "$target" ] && whole "$name" "$target"; then
    made=$((made + 1))
  elif [ -e "$target" ] && ! cmp -s "$target" "$work/before"; then
    complain "$name killed by $signal after $moment us: half a file"
  elif [ ! -e "$target" ] && [ -e "$work/before" ]; then
    complain "$name killed by $signal after $moment us: the old file is gone"
  elif [ "$status" -eq 0 ]; then
    complain "$name: status 0 and no file"
  fi
  for file in "$work"/out/*; do
    case $file in
      "$target" | "$work/out/*") ;;
      "$target".part-*)
        left=$((left + 1))
        [ $signal -eq 9 ] || complain "$name interrupted after $moment us: $file is left"
        ;;
      *) complain "$name killed by $signal: $file is left" ;;
    esac
  done
done
set +m
echo "$kills kills: $inside while it ran, $made files were whole by then, $left temporaries left by SIGKILL"
((inside * 2 > kills)) || complain "most kills came too late to show anything"
[ "${3:-}" = only ] && exit $bad

# refused NAME FILE WHY: the command fails with one line and leaves nothing.
refused() {
  (run "$1" "$2" >"$work/answer" 2>"$work/errors")
  local status=$?
  [ $status -eq 1 ] || complain "$1, $3: status $status"
  [ "$(wc -l <"$work/errors")" -eq 1 ] || complain "$1, $3: $(cat "$work/errors")"
  [ -s "$work/answer" ] && complain "$1, $3: an answer beside the error"
  [ -z "$(find "$(dirname "$2")" -name "$(basename "$2")*" 2>/dev/null)" ] ||
    complain "$1, $3: something is left"
}
for name in "${names[@]}"; do
  refused "$name" "$work/none/$name" "no such directory"
  # Above what some of the files need: of these none may come out short.
  (
    ulimit -f 1
    refused "$name" "$work/out/limit-$name" "a size limit"
    exit $bad
  ) || bad=1
done
if mount -t tmpfs -o size=16k none "$disk" 2>/dev/null; then
  head -c 1M /dev/zero >"$disk/full" 2>/dev/null
  for name in "${names[@]}"; do refused "$name" "$disk/$name" "a full disk"; done
else
  echo "no disk could be made; a full one was not tried"
fi

# Answers as text: a full disk, a reader that leaves, with and without the signal, no output at all.
answers=("new" "help" "help keys" "--version" "chance examples/sedan.ini" "chance examples/sedan.ini --json"
  "fill examples/sedan.ini" "heel examples/sedan.ini" "arrive examples/wagon-line.ini"
  "drivers examples/sedan.ini" "update examples/wagon-line.ini --readings examples/invented-readings.csv"
  "update examples/wagon-line.ini --readings -" "learn --log examples/invented-pump-tests.csv"
  "table --join $work/part.csv")
one_line() {
  [ "$2" -eq 1 ] && [ "$(wc -l <"$work/errors")" -eq 1 ] || complain "$1: status $2, $(cat "$work/errors")"
}
for answer in "${answers[@]}"; do
  read -ra words <<<"$answer"
  "$program" "${words[@]}" >/dev/full 2>"$work/errors" <<<"0.1 L: 20 %"
  one_line "$answer on a full disk" $?
  "$program" "${words[@]}" >&- 2>"$work/errors" <<<"0.1 L: 20 %"
  one_line "$answer without output" $?
  (
    sleep 0.05
    exec "$program" "${words[@]}" 2>"$work/errors" <<<"0.1 L: 20 %"
  ) | true
  status=${PIPESTATUS[0]}
  { [ "$status" -eq 141 ] || [ "$status" -eq 0 ]; } && [ ! -s "$work/errors" ] ||
    complain "$answer into a closed pipe: status $status, $(cat "$work/errors")"
  (
    trap '' PIPE
    sleep 0.05
    exec "$program" "${words[@]}" 2>"$work/errors" <<<"0.1 L: 20 %"
  ) | true
  one_line "$answer into a closed pipe, SIGPIPE ignored" "${PIPESTATUS[0]}"
done
exit $bad
