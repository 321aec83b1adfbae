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
bash "$here/outside.sh" "$place/prefix" "$cmake" "$cxx"

share=$place/prefix/share
for file in man/man1/blendrisk.1.gz man/man5/blendrisk-scenario.5.gz doc/blendrisk/README.md \
  doc/blendrisk/LICENSE doc/blendrisk/docs/tutorial.md bash-completion/completions/blendrisk; do
  [ -s "$share/$file" ] || { echo "not installed: $file" && exit 1; }
done

ran=0
for example in "$share"/doc/blendrisk/examples/*.ini; do
  "$place/prefix/bin/blendrisk" chance "$example" >/dev/null
  ran=$((ran + 1))
done
echo "$ran installed examples ran"
[ "$ran" -gt 0 ]
