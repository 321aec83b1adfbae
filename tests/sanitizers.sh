#!/usr/bin/env bash
# What tests/run.sh leaves out for its time: threads under the thread sanitizer, every command under
# valgrind, the longest unit tests under the other sanitizers, and each fuzz target for a while (needs
# clang). Ends at the first finding.
# usage: sanitizers.sh [SECONDS]   of fuzzing a target, default 600; 0: none
set -euo pipefail
cd "$(dirname "$0")/.."
seconds=${1:-600}
jobs=$(nproc)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# Every command once, each $@ in front of its arguments.
every_command() {
  local car=examples/sedan.ini line=examples/wagon-line.ini log=examples/invented-changeover.csv
  local wrapped=("$@")
  run() { "${wrapped[@]}" "$@" >/dev/null || { echo "finding: $*"; exit 1; }; }
  run new
  run help keys
  run chance $car --cases 4096
  run chance $car --cases 100000 --method crude --json
  run fill $car
  run heel $car
  run arrive $line --cases 1024
  run arrive $line --method crude --cases 4096
  run update $line --readings examples/invented-readings.csv
  run drivers $line --cases 1024
  run table $car --rows heel.indicated=2:4:1L --columns "fuel.content=74 %; 78 %" --output "$work/a.csv"
  run curve $car --along heel.indicated=4:8:2L --cases 256 --output "$work/a.svg"
  run learn --log examples/invented-pump-tests.csv
  run learn --log examples/invented-shop.csv examples/shop/wagon.ini --group season
  run learn --changeover $log $line
  run guide $line --cases 256 --output "$work/a.html"
}

cmake --preset tsan
cmake --build --preset tsan --parallel "$jobs"
export TSAN_OPTIONS=halt_on_error=1
every_command build/tsan/blendrisk
# Hours under the sanitizer, and nothing with threads that the others lack: coverage and agreement.
build/tsan/blendrisk_tests --gtest_filter=-*Slow*:*Coverage*:*Agree*

# Valgrind shows a processor without AVX-512, so that the clones it can run are chosen.
cmake --preset release -DBLENDRISK_BUILD_TESTS=ON
cmake --build --preset release --parallel "$jobs"
valgrind=(valgrind --quiet --error-exitcode=99 --leak-check=full --errors-for-leak-kinds=definite)
every_command "${valgrind[@]}" build/release/blendrisk
"${valgrind[@]}" build/release/blendrisk_tests \
  --gtest_filter='Quantity*:Nearest*:DistributionText*:ReadColumns*:TableText*:PlainText*:WriteWhole*:Axis*'

cmake --preset fuzz
cmake --build --preset fuzz --target blendrisk_tests blendrisk_program --parallel "$jobs"
every_command build/fuzz/blendrisk
ctest --test-dir build/fuzz -L unit -E '^replay' --output-on-failure -j "$jobs"

[ "$seconds" -gt 0 ] || exit 0
bash tests/fuzz.sh "$seconds"
