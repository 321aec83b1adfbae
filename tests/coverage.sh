#!/usr/bin/env bash
# Which lines of models/ and src/ are reached by the unit tests, but for the longest counting, and by
# the program tests of documents, tables and pages. Lists files below 90 %, and fails below 95 % of all.
set -euo pipefail
cd "$(dirname "$0")/.."
cores=$(nproc)
cmake --preset coverage >/dev/null
cmake --build --preset coverage --target blendrisk_tests blendrisk_program --parallel "$cores" | tail -n 1
find build/coverage -name '*.gcda' -delete
# Signals as a terminal would have them: tests ask for their usual effect.
env --default-signal build/coverage/blendrisk_tests --gtest_brief=1 --gtest_filter='-*Slow*:*IntervalsHoldTheTruth*'
ctest --test-dir build/coverage -R '^(readme|page|table)$' --output-on-failure -j "$cores" | tail -n 12
# Threads may lose each other's counts, down to negative ones: a line counts as reached by any but 0.
lcov --quiet --capture --directory build/coverage --base-directory . --no-external \
  --output-file build/coverage/all.info 2>/dev/null
lcov --quiet --extract build/coverage/all.info "$PWD/models/*" "$PWD/src/*" \
  --output-file build/coverage/lines.info 2>/dev/null
awk -F'[:,]' '
  /^SF:/ {file = substr($0, 4); sub(/.*\/(models|src)\//, "", file)}
  /^DA:/ {++lines; ++of[file]; if ($3 != 0) {++reached; ++in_file[file]}}
  END {
    for (name in of) if (in_file[name] < 0.9 * of[name]) printf "%5.1f %%  %s\n", 100 * in_file[name] / of[name], name
    printf "%.1f %% of %d lines are reached\n", 100 * reached / lines, lines
    exit reached < 0.95 * lines
  }' build/coverage/lines.info
