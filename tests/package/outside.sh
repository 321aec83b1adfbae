#!/usr/bin/env bash
# Builds the project beside this script against the library installed under PREFIX, and runs it.
# usage: outside.sh PREFIX CMAKE CXX
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
prefix=$1 cmake=$2 cxx=$3
build=$(mktemp -d)
trap 'rm -rf "$build"' EXIT

"$cmake" -S "$here" -B "$build" -DCMAKE_PREFIX_PATH="$prefix" -DCMAKE_CXX_COMPILER="$cxx" \
  -DCMAKE_BUILD_TYPE=Release >/dev/null
found=$(sed -n 's/^blendrisk_DIR:PATH=//p' "$build/CMakeCache.txt")
case $found in
  "$prefix"/*) ;;
  *)
    echo "the package was found in $found, not under $prefix" >&2
    exit 1
    ;;
esac
"$cmake" --build "$build"
"$build/outside"
