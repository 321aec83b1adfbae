#!/usr/bin/env bash
# Pictures of every example in every format, SVG in both systems of units: whole files, well-formed
# SVG, nothing left beside them, and their texts apart (tests/picture_text.py). Exits with 77, skipped, where gnuplot,
# or what looks at the texts, is missing; under CI that is a failure.
# usage: pictures.sh PROGRAM   (run in the project's directory)
set -euo pipefail
program=$1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

missing=()
for tool in gnuplot chromium chromedriver pdftotext; do
  command -v "$tool" >/dev/null || missing+=("$tool")
done
/usr/bin/python3 -c 'import selenium' 2>/dev/null || missing+=(python3-selenium)
if [ ${#missing[@]} -gt 0 ]; then
  echo "skipped: ${missing[*]} not installed"
  [ -n "${CI:-}" ] && exit 1
  exit 77
fi

hostile="<b>'x' & \"y\" {/Bold z}^2 \`id\`</b>"
drawn=0
draw() {  # COMMAND SCENARIO ARGUMENTS...
  local to=$work/$name-$units-$1-$drawn.$format
  # Where a picture would hold nothing at all that is said, and none is there.
  "$program" "$@" --units "$units" --output "$to" >"$work/said" 2>&1 || {
    grep -q "nothing to draw" "$work/said" && [ ! -e "$to" ]
    return
  }
  drawn=$((drawn + 1))
}
for scenario in examples/*.ini; do
  name=$(basename "$scenario" .ini)
  for drawing in "svg metric" "svg us" "png metric" "pdf us"; do
    read -r format units <<<"$drawing"
    draw chance "$scenario"
    # Of a fill that is done no other reading or amount is to be had.
    if grep -q '^shown' "$scenario"; then
      draw drivers "$scenario"
      draw curve "$scenario" --along fuel.content=70:82:2% --cases 4096 --title "$hostile"
      continue
    fi
    draw chance "$scenario" --heel.indicated "2 L" --title "$hostile and a name that goes on and on and on, far beyond one line"
    # Without a line there is nothing to wait for.
    if grep -q '^\[line\]' "$scenario"; then draw arrive "$scenario"; fi
    draw drivers "$scenario"
    draw curve "$scenario" --along heel.indicated=4:10:1L --cases 4096 --title "$hostile"
    draw curve "$scenario" --along heel.indicated=2:16:1L --by "fuel.content=74 %; 76 %; 77 %; 80 %" --cases 4096
    draw curve "$scenario" --along heel.indicated=2:22:4L --show amount
    draw curve "$scenario" --along heel.indicated=2:22:4L --show landed
  done
  for units in metric us; do
    format=html
    draw guide "$scenario"
    draw guide "$scenario" --language german
  done
done
name=fleet
shop=(table --cars examples/fleet/cars/*.ini --pumps)
for drawing in "svg metric" "svg us" "png metric" "pdf us"; do
  read -r format units <<<"$drawing"
  draw "${shop[@]}" examples/fleet/pumps/*.ini
  draw "${shop[@]}" examples/fleet/pumps/*-winter.ini --show heel
  draw "${shop[@]}" examples/fleet/pumps/north-winter.ini --title "$hostile"
done
units=metric format=svg
"$program" "${shop[@]}" examples/fleet/pumps/*.ini --show chance --output "$work/fleet-chances.svg" >/dev/null
drawn=$((drawn + 1))
rm -f "$work/said"
files=("$work"/*)
if [ ${#files[@]} -ne "$drawn" ]; then
  echo "$drawn pictures were drawn, but ${#files[@]} files are there"
  exit 1
fi
for file in "${files[@]}"; do
  case $file in
    *.html) tail -n 1 "$file" | grep -q "</html>" ;;
    *.svg) /usr/bin/python3 -c 'import sys, xml.etree.ElementTree as E
assert E.parse(sys.argv[1]).getroot().tag.endswith("svg")' "$file" ;;
    *.png) [ "$(head -c 4 "$file" | tail -c 3)" = PNG ] ;;
    *.pdf) [ "$(head -c 4 "$file")" = %PDF ] && tail -c 8 "$file" | grep -q %%EOF ;;
  esac || { echo "$file is no whole picture"; exit 1; }
done
/usr/bin/python3 -B tests/picture_text.py "${files[@]}"
echo "$drawn pictures drawn"
