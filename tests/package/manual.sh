#!/usr/bin/env bash
# The manual pages as a reader has them: no warning from man or mandoc, 80 columns, every command,
# option and key in them, and every example in them runs.
# usage: manual.sh PROGRAM PAGES_DIR   (pages plain or compressed)
set -uo pipefail
program=$(realpath "$1") pages=$(realpath "$2")
for tool in man col; do
  command -v "$tool" >/dev/null || { echo "skipped: $tool is not installed" && exit 77; }
done
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 1
here=$(cd "$OLDPWD" && realpath "$(dirname "$0")")
day=$(date -d "$(sed -n 's/^ -- .*>  \(.*\) [+-][0-9]*$/\1/p' "$here/../../src/cmake/debian/changelog" | head -n 1)" +%F)
bad=0
wrong() {
  echo "wrong: $*" >&2
  bad=1
}

for page in blendrisk.1 blendrisk-scenario.5; do
  file=$(find "$pages" -name "$page" -o -name "$page.gz" | sort | tail -n 1)
  [ -n "$file" ] || { wrong "no page $page in $pages" && continue; }
  gzip -cdf "$file" >"$page"
  grep -Eq "^\.TH [^ ]+ \"[15]\" \"$day\" \"blendrisk [0-9.]+\"" "$page" || wrong "$page is not of the day of the version, $day"
  LC_ALL=C.UTF-8 MANWIDTH=80 man --warnings -E UTF-8 -l "$page" 2>"$page.said" | col -bpx >"$page.txt"
  [ ! -s "$page.said" ] || wrong "man of $page:" "$(cat "$page.said")"
  [ "$(wc -l <"$page.txt")" -gt 100 ] || wrong "$page is only $(wc -l <"$page.txt") lines long"
  wide=$(awk 'length > 80' "$page.txt")
  [ -z "$wide" ] || wrong "$page is wider than 80 columns: $wide"
  if command -v mandoc >/dev/null; then
    mandoc -Tlint "$page" >"$page.said" || wrong "mandoc of $page:" "$(cat "$page.said")"
    [ ! -s "$page.said" ] || wrong "mandoc of $page:" "$(cat "$page.said")"
  fi
done

has_line() { grep -Eq -- "$2" "$1" || wrong "$1 has no line $2"; }
for head in NAME SYNOPSIS DESCRIPTION COMMANDS OPTIONS 'EXIT STATUS' ENVIRONMENT FILES EXAMPLES \
  CAUTION 'SEE ALSO'; do
  has_line blendrisk.1.txt "^$head\$"
done
commands=$("$program" help | awk '/^Commands:/ {inside = 1; next} /^$/ {inside = 0} inside {print $1}')
for command in $commands; do
  has_line blendrisk.1.txt "^   $command\$"
  [ "$command" = help ] && continue
  "$program" "$command" --help | awk '/^Options:/ {inside = 1; next} inside {print $1}'
done | sort -u >options
[ "$(wc -l <options)" -gt 15 ] || wrong "the help lists only $(wc -l <options) options"
while read -r option; do has_line blendrisk.1.txt "^       $option( |\$)"; done <options
for status in 0 1 2 3; do has_line blendrisk.1.txt "^       $status      "; done
"$program" help keys | awk '/^\[/ {print "^   \\[" substr($1, 2, length($1) - 2) "\\]"}
  /^Quantities/ {exit} /^  [a-z]/ {print "^       " $1 " = "}' >keys
[ "$(wc -l <keys)" -gt 50 ] || wrong "the help lists only $(wc -l <keys) keys"
while read -r key; do has_line blendrisk-scenario.5.txt "$key"; done <keys

# The example of the format is the starter scenario, and it runs.
awk '/^[A-Z]/ {inside = $0 == "EXAMPLE"; next} inside' blendrisk-scenario.5.txt | sed 's/^       //' |
  sed -e :a -e '/^\n*$/{$d;N;ba' -e '}' >example.ini
diff example.ini <("$program" new) || wrong "the example of blendrisk-scenario(5) is not the starter"

# Every example, in order, as a reader would paste it.
awk '/^        *blendrisk (new|[a-z]+ car\.ini) ?/ {inside = 1} !/^       / {inside = 0}
  inside {sub(/^ +/, ""); print; inside = /\\$/}' blendrisk.1.txt >examples.sh
ran=$(grep -c '^blendrisk' examples.sh)
[ "$ran" -gt 12 ] || wrong "only $ran examples"
command -v gnuplot >/dev/null || sed -i 's/risk\.svg/risk.csv/' examples.sh
mkdir bin && ln -s "$program" bin/blendrisk
PATH=$PWD/bin:$PATH bash -eu examples.sh >answers 2>&1 || wrong "an example fails:" "$(tail -n 2 answers)"

echo "$ran examples ran"
exit "$bad"
