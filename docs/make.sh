#!/usr/bin/env bash
# Makes docs/reference.md, the answers shown in README.md and docs/*.md and the pictures of docs/gallery.md with the
# program itself, so that they say what it does. Into another DIRECTORY it puts the reference and the documents alone.
# usage: make.sh PROGRAM [DIRECTORY]   (run in the project's directory; default docs)
set -euo pipefail
program=$1
to=${2:-docs}

commands=$("$program" help | awk '/^Commands:/ {inside = 1; next} /^$/ {inside = 0} inside {print $1}')
{
  echo "# Reference"
  echo
  echo "What \`blendrisk help\` says, made by \`bash docs/make.sh build/release/blendrisk\`."
  echo
  echo '```'
  "$program" help
  echo '```'
  for command in $commands; do
    [ "$command" = help ] && continue
    printf '\n## %s\n\n```\n' "$command"
    "$program" help "$command"
    echo '```'
  done
  printf '\n## Keys of a scenario\n\n```\n'
  "$program" help keys
  echo '```'
} >"$to/reference.md"

for document in README.md docs/*.md; do
  [ "$document" = docs/reference.md ] && continue
  made=$to/$(basename "$document")
  [ "$document" = README.md ] && [ "$to" = docs ] && made=README.md
  bash docs/shown.sh "$program" "$document" >"$made.part"
  mv "$made.part" "$made"
done

# Pictures only where gnuplot is, into docs itself.
[ "$to" = docs ] || exit 0
mkdir -p docs/gallery
draw() { "$program" "$@" >/dev/null; }
draw chance examples/sedan.ini --output docs/gallery/landed.svg
draw chance examples/sedan.ini --limits.maximum "72 %" --output docs/gallery/landed-both-limits.svg
draw arrive examples/wagon-line.ini --output docs/gallery/rail.svg
draw arrive examples/back-to-gasoline.ini --line.pipe "0.12 L" --line.filter "0.2 L" \
  --engine.idle "0.9 L/h" --sensor.bias "normal(0 %, 1.5 %)" --output docs/gallery/rail-back.svg
draw curve examples/sedan.ini --along heel.indicated=1:14:0.1L \
  --by "fuel.content=72 %; 75 %; 78 %; 80 %" --output docs/gallery/risk-by-pump.svg
draw curve examples/sedan.ini --along heel.indicated=1:14:0.1L --scale linear --units us \
  --output docs/gallery/risk-linear.svg
draw curve examples/sedan.ini --along heel.indicated=1:9:0.1L --show amount --limits.minimum "60 %" \
  --by "fuel.content=75 %; 77 %; 80 %" --output docs/gallery/amounts.svg
draw curve examples/sedan.ini --along fuel.content=68:83:0.25% --show landed \
  --output docs/gallery/landed-by-pump.svg
draw curve examples/wagon-line.ini --along engine.idle=0.8:2.4:0.02L/h --show arrival --after "15 min" \
  --by "line.filter=0.05 L; 0.1 L; 0.2 L" --output docs/gallery/arrival.svg
draw table --cars 'examples/fleet/cars/*.ini' --pumps 'examples/fleet/pumps/*-winter.ini' --output docs/gallery/shop.svg
draw policy --cars 'examples/fleet/cars/*.ini' --pumps 'examples/fleet/pumps/*-summer.ini' --changes 6 --year-risk "20 %" \
  --cost-of-miss 900 --output docs/gallery/policy.svg
SOURCE_DATE_EPOCH=1767225600 draw guide examples/wagon-line.ini --static --output docs/gallery/guide.html
# Where the program was built with the module, and a browser is there.
SOURCE_DATE_EPOCH=1767225600 draw guide examples/wagon-line.ini --output docs/gallery/live.html
if grep -q 'id="module"' docs/gallery/live.html && command -v chromedriver >/dev/null; then
  /usr/bin/python3 docs/phone.py docs/gallery/live.html docs/gallery/page-on-a-phone.png
fi
rm docs/gallery/live.html
