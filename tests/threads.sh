#!/usr/bin/env bash
# The same seed gives the same bytes on any number of threads; another seed gives others.
# usage: threads.sh PROGRAM   (run in the project's directory)
set -euo pipefail
program=$1
bad=0

# The answer of a command without the time it took.
answer() { "$program" "$@" --json | sed -E 's/"elapsed_s": ?[^,}]*//'; }

without_seed() { sed -E 's/"seed": ?[0-9]+//'; }

for scenario in examples/*.ini; do
  for how in "chance --method conditional" "chance --method conditional --cases 200000" \
             "chance --method crude --cases 1000003" "arrive --line.filter=0.1L" "arrive --line.filter=0.1L --method crude"; do
    read -ra words <<<"$how"
    one=$(answer "${words[@]}" "$scenario" --threads 1)
    for threads in 2 7; do
      if [ "$(answer "${words[@]}" "$scenario" --threads "$threads")" != "$one" ]; then
        echo "$scenario $how: $threads threads differ from one"
        bad=1
      fi
    done
    other=$(answer "${words[@]}" "$scenario" --threads 1 --seed 2)
    if [ "$(without_seed <<<"$other")" = "$(without_seed <<<"$one")" ]; then
      echo "$scenario $how: another seed changes nothing, so this check sees nothing"
      bad=1
    fi
  done
done

shop=(examples/invented-shop.csv examples/shop/hatchback.ini examples/shop/wagon.ini)
one=$(answer verify "${shop[@]}" --group pump --threads 1)
for threads in 2 7; do
  if [ "$(answer verify "${shop[@]}" --group pump --threads "$threads")" != "$one" ]; then
    echo "verify: $threads threads differ from one"
    bad=1
  fi
done

fleet=(--cars 'examples/fleet/cars/*.ini' --pumps 'examples/fleet/pumps/*-summer.ini' --changes 6)
wishes=(--year-risk "20 %" --cost-of-miss 900)
one=$(answer policy "${fleet[@]}" "${wishes[@]}" --threads 1)
for threads in 2 7; do
  if [ "$(answer policy "${fleet[@]}" "${wishes[@]}" --threads "$threads")" != "$one" ]; then
    echo "policy: $threads threads differ from one"
    bad=1
  fi
done
exit $bad
