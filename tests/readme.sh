#!/usr/bin/env bash
# The worked example of README.md shows what the program prints.
# usage: readme.sh PROGRAM   (run in the project's directory)
set -euo pipefail
shown=$(awk '/^## A worked example/ {inside = 1} inside && /^```$/ {fences++; next}
             fences == 1 {print} fences == 2 {exit}' README.md)
printed=$("$1" chance examples/sedan.ini)
if [ -z "$shown" ] || ! diff <(echo "$shown") <(echo "$printed"); then
  echo "README.md shows another answer than the program prints"
  exit 1
fi
