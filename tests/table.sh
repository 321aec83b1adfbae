#!/usr/bin/env bash
# A large table in parts: spread by GNU parallel and joined, byte for byte the whole; interrupted, no
# half file is left.
# usage: table.sh PROGRAM   (run in the project's directory)
set -euo pipefail
program=$1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
export program work
axes=(--rows heel.indicated=2:9:0.5L --columns "fuel.content=74 %; 76 %; 78 %; 80 %")

"$program" table examples/sedan.ini examples/benchmark.ini "${axes[@]}" --output "$work/whole.csv"
if command -v parallel >/dev/null; then
  parallel --will-cite -j 2 "$program" table examples/sedan.ini examples/benchmark.ini \
    --rows heel.indicated=2:9:0.5L --columns "'fuel.content=74 %; 76 %; 78 %; 80 %'" \
    --part {}/7 --output "$work/part-{}.csv" ::: 1 2 3 4 5 6 7
else
  echo "GNU parallel is not there; the parts run one after the other"
  for k in 1 2 3 4 5 6 7; do
    "$program" table examples/sedan.ini examples/benchmark.ini "${axes[@]}" --part "$k/7" \
      --output "$work/part-$k.csv"
  done
fi
"$program" table --join "$work"/part-*.csv --output "$work/joined.csv"
cmp "$work/whole.csv" "$work/joined.csv"
[ "$(wc -l <"$work/whole.csv")" -eq 122 ]
"$program" table examples/sedan.ini examples/benchmark.ini "${axes[@]}" --threads 1 \
  --output "$work/one.csv"
cmp "$work/whole.csv" "$work/one.csv"

# What is no whole set of parts is refused, and nothing is written.
refused() {
  if "$program" table --join "$@" --output "$work/bad.csv" 2>"$work/errors"; then
    echo "joined what does not belong together: $*"
    exit 1
  fi
  [ "$(wc -l <"$work/errors")" -eq 1 ]
  [ ! -e "$work/bad.csv" ]
}
refused "$work"/part-[1-6].csv
refused "$work"/part-*.csv "$work/part-3.csv"
refused "$work/whole.csv"
"$program" table examples/sedan.ini "${axes[@]}" --part 1/2 --output "$work/other.csv"
refused "$work"/part-*.csv "$work/other.csv"

# Interrupted: status 1, one line, no file. A started background job ignores interrupts from its
# parent shell, so the program is run under one that takes them.
set -m
"$program" table examples/sedan.ini --rows heel.indicated=1:20:0.02L \
  --columns fuel.content=70:80:0.02% --output "$work/half.csv" 2>"$work/errors" &
job=$!
sleep 0.5
kill -INT "$job"
status=0
wait "$job" || status=$?
if [ "$status" -ne 1 ] || [ -n "$(find "$work" -name 'half.csv*')" ]; then
  echo "interrupted: status $status, left: $(find "$work" -name 'half.csv*')"
  exit 1
fi
grep -q "interrupted" "$work/errors"
echo "parts joined, interrupt clean"
