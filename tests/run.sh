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

# ctest over the directory $1 with further arguments; adds its counts.
count() {
  local log summary fails total
  log=$(mktemp)
  echo "== ctest $*"
  # One more than there are processors, as some wait for moments to pass.
  ctest --test-dir "$@" --output-on-failure --no-tests=error -j "$((jobs + 1))" | tee "$log"
  local status=$?
  summary=$(grep -E '[0-9]+ tests? failed out of [0-9]+' "$log" | tail -n 1)
  rm -f "$log"
  fails=$(sed -nE 's/.* ([0-9]+) tests? failed out of ([0-9]+).*/\1/p' <<<"$summary")
  total=$(sed -nE 's/.* ([0-9]+) tests? failed out of ([0-9]+).*/\2/p' <<<"$summary")
  fails=${fails:-0}
  total=${total:-0}
  passed=$((passed + total - fails))
  failed=$((failed + fails))
  # A failure that the summary does not show must not be lost.
  if [ "$status" -ne 0 ] && [ "$fails" -eq 0 ]; then failed=$((failed + 1)); fi
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
counting='IntervalsHold|CountingAgree|AndCounting|WithCrudeMonteCarlo|AgreesWithCounting|AllAtOnce|NotInvented'
counting+='|ABoundReaches|BeyondWhatTheyBear|SeesWrongEnds|CorrelatedSharesAreExplained|ChangeTheAnswer'
counting+='|RiskIsRelaxed|(Is|Are)TheClosedForm|WorthWhatTheyClaim|ThousandsOfReadings|RepeatedIndications'
counting+='|SearchesAgree|CountsAreSmoothed|CostsItsAmount|HeavyTails|RealisedRank|SeedsAgree|ItsOwnEstimate'
counting+='|EveryWidenedInput|ToleranceAlone|AMillionRows|LawsLearntFromTheRows|AgreesWithRejection|DrawnFillsComeTrue'
counting+='|MeetsTheTail|LevelOfAShare|StateThatHasSome|NineInTen|FollowedItIs|TwoDeliveriesAreNotTwelve'
counting+='|NoiseIsWithoutRounding|ConjugateLawsAreTold|RowsFallAndNever|RisksFarBelow|LongShopLogsAreHandled'
counting+='|CasesSteppedThrough|NoPageInAnother'
count build/fuzz -L unit -E "^replay|$counting"
step bash tests/coverage.sh
step bash tests/fuzz.sh 5 1
finish
