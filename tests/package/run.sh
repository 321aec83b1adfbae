#!/usr/bin/env bash
# Installs a build into a fresh place, builds the project beside this script against it, runs it,
# and runs the installed program on every installed example.
# usage: run.sh BUILD_DIR CMAKE CXX
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
build=$1 cmake=$2 cxx=$3
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT

"$cmake" --install "$build" --prefix "$place/prefix" >/dev/null
"$cmake" -S "$here" -B "$place/build" -DCMAKE_PREFIX_PATH="$place/prefix" \
  -DCMAKE_CXX_COMPILER="$cxx" -DCMAKE_BUILD_TYPE=Release >/dev/null
"$cmake" --build "$place/build"
"$place/build/outside"

ran=0
for example in "$place"/prefix/share/blendrisk/examples/*.ini; do
  "$place/prefix/bin/blendrisk" chance "$example" >/dev/null
  ran=$((ran + 1))
done
echo "$ran installed examples ran"
[ "$ran" -gt 0 ]
