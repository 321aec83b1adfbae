#!/usr/bin/env bash
# Which lines of models/ and src/ were reached by the tests that have run in build/fuzz, whose
# library and program count them. Lists .cpp files below 90 %, and fails below 95 % of all. An inline
# function that the tests compile too may count as not reached: the linker keeps one of the two.
# usage: coverage.sh [--forget]   forgets what was counted so far, before the tests
set -euo pipefail
cd "$(dirname "$0")/.."
counts=build/fuzz
if [ "${1:-}" = --forget ]; then
  find "$counts" -name '*.gcda' -delete
  exit
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
printf '#!/bin/sh\nexec llvm-cov gcov "$@"\n' >"$work/gcov"
chmod +x "$work/gcov"
lcov --quiet --capture --gcov-tool "$work/gcov" --directory "$counts" --base-directory . --no-external \
  --output-file "$counts/all.info" 2>/dev/null
lcov --quiet --extract "$counts/all.info" "$PWD/models/*" "$PWD/src/*" \
  --output-file "$counts/lines.info" 2>/dev/null
# Threads may lose each other's counts, down to negative ones: a line counts as reached by any but 0.
awk -F'[:,]' '
  /^SF:/ {file = substr($0, 4); sub(/.*\/(models|src)\//, "", file)}
  /^DA:/ {++lines; ++of[file]; if ($3 != 0) {++reached; ++in_file[file]}}
  END {
    for (name in of) if (name ~ /cpp$/ && in_file[name] < 0.9 * of[name]) printf "%5.1f %%  %s\n", 100 * in_file[name] / of[name], name
    printf "%.1f %% of %d lines are reached\n", 100 * reached / lines, lines
    exit reached < 0.95 * lines
  }' "$counts/lines.info"
