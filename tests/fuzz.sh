#!/usr/bin/env bash
# Each fuzz target searches from its corpus for SECONDS, as many at once as there are processors.
# A run of 60 s counts as one: the longest of the corpus takes 26 s here, and 1 s in a release build.
# Status 1 after a finding, whose report is shown. Needs clang.
# usage: fuzz.sh SECONDS [SEED]   (default 0: another search every time)
set -euo pipefail
cd "$(dirname "$0")/.."
export seconds=${1:?usage: fuzz.sh SECONDS [SEED]} seed=${2:-0}
jobs=$(nproc)
work=$(mktemp -d)
export work
trap 'rm -rf "$work"' EXIT
cmake --preset fuzz >/dev/null
cmake --build --preset fuzz --target blendrisk_fuzzers --parallel "$jobs" | tail -n 1

search() {
  local name=${1##*/fuzz_}
  mkdir "$work/$name"
  if ! "$1" -seed="$seed" -max_total_time="$seconds" -timeout=60 -rss_limit_mb=2048 -dict=tests/fuzz/words.dict \
    -artifact_prefix="$work/$name-" "$work/$name" "tests/fuzz/corpus/$name" >"$work/$name.log" 2>&1; then
    echo "fuzz: $name: a finding"
    grep -av '^#[0-9]' "$work/$name.log" | tail -n 40
    return 1
  fi
  echo "fuzz: $name: $(grep -a '^Done' "$work/$name.log")"
}
export -f search
printf '%s\0' build/fuzz/fuzz_* | xargs -0 -P "$jobs" -I '{}' bash -c 'search "$1"' search '{}'
