#!/usr/bin/env bash
# Pictures of every example in every format, SVG in both systems of units: whole files, well-formed
# SVG, and nothing left beside them. Exits with 77, skipped, where gnuplot is missing; under CI that is a failure.
# usage: pictures.sh PROGRAM   (run in the project's directory)
set -euo pipefail
program=$1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

if ! command -v gnuplot >/dev/null; then
  echo "skipped: gnuplot is not installed"
  [ -n "${CI:-}" ] && exit 1
  exit 77
fi

drawn=0
for scenario in examples/*.ini; do
  name=$(basename "$scenario" .ini)
  for drawing in "svg metric" "svg us" "png metric" "pdf us"; do
    read -r format units <<<"$drawing"
    to=$work/$name-$units
    "$program" chance "$scenario" --units "$units" --output "$to-chance.$format" >/dev/null
    "$program" arrive "$scenario" --units "$units" --output "$to-arrive.$format" >/dev/null
    "$program" curve "$scenario" --along heel.indicated=4:10:1L --units "$units" --cases 4096 \
      --title "<b>'x' & \"y\" {/Bold z}^2 \`id\`</b>" --output "$to-curve.$format"
    drawn=$((drawn + 3))
  done
done
files=("$work"/*)
if [ ${#files[@]} -ne "$drawn" ]; then
  echo "$drawn pictures were drawn, but ${#files[@]} files are there"
  exit 1
fi
for file in "${files[@]}"; do
  case $file in
    *.svg) /usr/bin/python3 -c 'import sys, xml.etree.ElementTree as E
assert E.parse(sys.argv[1]).getroot().tag.endswith("svg")' "$file" ;;
    *.png) [ "$(head -c 4 "$file" | tail -c 3)" = PNG ] ;;
    *.pdf) [ "$(head -c 4 "$file")" = %PDF ] && tail -c 8 "$file" | grep -q %%EOF ;;
  esac || { echo "$file is no whole picture"; exit 1; }
done
echo "$drawn pictures drawn"
