#!/usr/bin/env bash
# What the documents show is what the program prints: the worked example of README.md in full, and
# every block of docs/*.md that begins with "$ blendrisk ..." as the beginning of the answer.
# usage: readme.sh PROGRAM   (run in the project's directory)
set -euo pipefail
program=$1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
bad=0

shown=$(awk '/^## A worked example/ {inside = 1} inside && /^```$/ {fences++; next}
             fences == 1 {print} fences == 2 {exit}' README.md)
if [ -z "$shown" ] || ! diff <(echo "$shown") <("$program" chance examples/sedan.ini); then
  echo "README.md shows another answer than the program prints"
  bad=1
fi

awk -v work="$work" '
  /^```/ { if (block) { close(file); block = 0 } else fresh = 1; next }
  fresh && /^\$ blendrisk / { block = 1; file = work "/" ++n; print substr($0, 13) > (file ".args") }
  fresh { fresh = 0; if (block) next }
  block { print > file }' docs/*.md
checked=0
for arguments in "$work"/*.args; do
  eval "words=($(cat "$arguments"))"
  "$program" "${words[@]}" >"$work/printed"
  lines=$(wc -l <"${arguments%.args}")
  if ! diff "${arguments%.args}" <(head -n "$lines" "$work/printed"); then
    echo "docs show another answer than: blendrisk $(cat "$arguments")"
    bad=1
  fi
  checked=$((checked + 1))
done
bash docs/make.sh "$program" "$work"
if ! diff docs/reference.md "$work/reference.md"; then
  echo "docs/reference.md is not what bash docs/make.sh makes"
  bad=1
fi
echo "$checked blocks of docs checked"
[ "$checked" -gt 0 ] && exit $bad
