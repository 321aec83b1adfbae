#!/usr/bin/env bash
# Runs the benchmark problem by other programs and by ours in one go, and prints the seconds each
# needs for a relative standard error of 1 %, and the cases a second of crude Monte Carlo.
# usage: run_peers.sh PEERS_DIR   (holding peer_numpy.py, peer_numpy_conditional.py,
#        peer_openturns.py; those that are missing or cannot run are left out and named)
# Needs build/bench: cmake --preset bench && cmake --build --preset bench
set -euo pipefail
peers=${1:?usage: run_peers.sh PEERS_DIR}
peers=$(cd "$peers" && pwd)
cd "$(dirname "$0")/../.."
bench=build/bench/blendrisk_bench
if [ ! -x "$bench" ]; then
  echo "$bench is not there; cmake --preset bench && cmake --build --preset bench" >&2
  exit 1
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# One thread each, so that cores do not decide.
export OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 OPENTURNS_NUM_THREADS=1
: >"$work/peers.jsonl"
for script in peer_numpy.py peer_numpy_conditional.py peer_openturns.py; do
  if [ ! -f "$peers/$script" ]; then
    echo "left out: $script is not in $peers" >&2
  elif ! /usr/bin/python3 "$peers/$script" >"$work/one" 2>"$work/errors"; then
    echo "left out: $script could not run: $(tail -n 1 "$work/errors")" >&2
  else
    cat "$work/one" >>"$work/peers.jsonl"
  fi
done
"$bench" --benchmark_format=json >"$work/ours.json"

/usr/bin/python3 - "$work/peers.jsonl" "$work/ours.json" <<'PY'
import json
import math
import sys

with open(sys.argv[1]) as file:
    peers = [json.loads(line) for line in file if line.strip()]
with open(sys.argv[2]) as file:
    ours = json.load(file)["benchmarks"]
SECONDS = {"ns": 1e-9, "us": 1e-6, "ms": 1e-3, "s": 1.0}


def entry(family, argument):
    """The named benchmark, its median where it was repeated."""
    found = [b for b in ours if b.get("run_name", b["name"]).split("/")[:2] == [family, argument]]
    medians = [b for b in found if b.get("aggregate_name") == "median"]
    return (medians or found or [None])[0]


def text(seconds):
    return "-" if seconds is None else "%.3g" % seconds


names = list(dict.fromkeys(p["peer"] for p in peers if "seconds_to_1_percent" in p))
print("Seconds to 1 % relative standard error")
rows = [["limit", "ours"] + names + ["best peer / ours"]]
for limit in (70, 68, 66, 60):
    mine = entry("seconds_to_1_percent", str(limit))
    mine = None if mine is None else mine["real_time"] * SECONDS[mine["time_unit"]]
    theirs = {p["peer"]: p["seconds_to_1_percent"] for p in peers
              if round(100 * p["limit"]) == limit and math.isfinite(p["seconds_to_1_percent"])}
    ratio = "%.1f" % (min(theirs.values()) / mine) if theirs and mine else "-"
    rows.append(["%d %%" % limit, text(mine)] + [text(theirs.get(n)) for n in names] + [ratio])
widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
for row in rows:
    print("  ".join(cell.rjust(width) for cell, width in zip(row, widths)))

print("\nPlain counting, million cases a second")
numpy = max((p["cases_per_second"] for p in peers if "cases_per_second" in p), default=None)
if numpy is not None:
    print("numpy, 1 thread: %.1f" % (numpy / 1e6))
for threads in ("1", "2"):
    mine = entry("crude_cases", threads)
    if mine is None:
        print("ours, %s thread(s): -" % threads)
        continue
    rate = mine["items_per_second"]
    beside = "" if numpy is None else " (%.1f times numpy)" % (rate / numpy)
    print("ours, %s thread(s): %.1f%s" % (threads, rate / 1e6, beside))
PY
