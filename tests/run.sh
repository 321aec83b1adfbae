#!/usr/bin/env bash
# Everything that has to pass: the release build with all tests; by another compiler, the unit tests
# under the address and undefined-behaviour sanitizers with the lines that they reach, and a short
# search by each fuzz target. The release build has the module of the page that computes. Ends with
# the line "N passed, N failed".
set -uo pipefail
cd "$(dirname "$0")/.." || exit 1
jobs=$(nproc 2>/dev/null || echo 2)
passed=0
failed=0

finish() {
  echo "$passed passed, $failed failed"
  [ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
  exit
}

# A step that ctest does not count; its failure counts as one and ends the run.
step() {
  echo "== $*"
  "$@" && return
  echo "failed: $*"
  failed=$((failed + 1))
  finish
}

# ctest over the directory $1 with further arguments; sets total and fails, as ctest counts, and status.
run_ctest() {
  local log summary
  log=$(mktemp)
  echo "== ctest $*"
  # One more than there are processors, as some wait for moments to pass.
  ctest --test-dir "$@" --output-on-failure --no-tests=error -j "$((jobs + 1))" | tee "$log"
  status=$?
  summary=$(grep -E '[0-9]+ tests? failed out of [0-9]+' "$log" | tail -n 1)
  rm -f "$log"
  fails=$(sed -nE 's/.* ([0-9]+) tests? failed out of ([0-9]+).*/\1/p' <<<"$summary")
  total=$(sed -nE 's/.* ([0-9]+) tests? failed out of ([0-9]+).*/\2/p' <<<"$summary")
  fails=${fails:-0}
  total=${total:-0}
}

# Adds what ran to the counts.
add_counts() {
  # A failure that was not counted must not be lost.
  if [ "$status" -ne 0 ] && [ "$fails" -eq 0 ]; then fails=1; fi
  passed=$((passed + (total > fails ? total - fails : 0)))
  failed=$((failed + fails))
}

count() {
  run_ctest "$@"
  add_counts
}

# The sum of a number that the reports of suites in $1 give of all their cases.
reported() {
  cat "$1"/*.xml 2>/dev/null | sed -nE "s/^<testsuites .*\\b$2=\"([0-9]+)\".*/\\1/p" | awk '{all += $1} END {print all + 0}'
}

# The same of unit tests whose suites are ctest's entries: of all the cases that the program has, but
# those that BLENDRISK_LEFT_OUT names, each has passed that a suite reports so. What a suite that died
# did not report has failed, and one case of a suite that ended badly after a good report.
count_cases() {
  local reports=$1/suites bad=$1/Testing/Temporary/LastTestsFailed.log suite
  rm -rf "$reports" "$bad"
  run_ctest "$@"
  total=$("$1/blendrisk_tests" --gtest_list_tests --gtest_filter="-*Slow*:$BLENDRISK_LEFT_OUT" | grep -c '^  ')
  fails=$((total - $(reported "$reports" tests) + $(reported "$reports" failures) + $(reported "$reports" errors)))
  [ ! -f "$bad" ] || while IFS=: read -r _ suite; do
    if grep -qs '^<testsuites .*failures="0".*errors="0"' "$reports/${suite//\//-}.xml"; then fails=$((fails + 1)); fi
  done <"$bad"
  if [ "$total" -eq 0 ]; then fails=1; fi
  add_counts
}

step bash tests/install_packages.sh test
step bash tests/browser.sh module
step cmake --preset release -DBLENDRISK_BUILD_TESTS=ON -DBLENDRISK_PAGE_MODULE=build/browser/blendrisk.wasm.gz
step cmake --build --preset release --parallel "$jobs"
count build/release
step cmake --preset fuzz
step cmake --build --preset fuzz --target blendrisk_tests blendrisk_fuzzers --parallel "$jobs"
step bash tests/coverage.sh --forget
# What counts for long on lines that others reach is left to the release build and to
# tests/sanitizers.sh, for time.
left_out='IntervalsHold CountingAgree AndCounting WithCrudeMonteCarlo AgreesWithCounting AllAtOnce
  NotInvented ABoundReaches BeyondWhatTheyBear SeesWrongEnds CorrelatedSharesAreExplained
  ChangeTheAnswer RiskIsRelaxed IsTheClosedForm AreTheClosedForm WorthWhatTheyClaim
  ThousandsOfReadings RepeatedIndications SearchesAgree CountsAreSmoothed CostsItsAmount
  HeavyTails RealisedRank SeedsAgree ItsOwnEstimate EveryWidenedInput ToleranceAlone
  AMillionRows LawsLearntFromTheRows AgreesWithRejection DrawnFillsComeTrue MeetsTheTail
  LevelOfAShare StateThatHasSome NineInTen FollowedItIs TwoDeliveriesAreNotTwelve
  NoiseIsWithoutRounding ConjugateLawsAreTold RowsFallAndNever RisksFarBelow
  LongShopLogsAreHandled CasesSteppedThrough NoPageInAnother'
BLENDRISK_LEFT_OUT=$(printf '*%s*:' $left_out)
export BLENDRISK_LEFT_OUT
count_cases build/fuzz -L unit -E '^replay'
unset BLENDRISK_LEFT_OUT
step bash tests/coverage.sh
step bash tests/fuzz.sh 5 1
finish
