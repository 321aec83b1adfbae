#!/usr/bin/env bash
# What the documents show is what the program prints: every answer of README.md and docs/*.md, to its end or up to a
# last line "[...]", is the one that docs/make.sh would put there.
# usage: readme.sh PROGRAM   (run in the project's directory)
set -euo pipefail
program=$1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
bad=0

bash docs/make.sh "$program" "$work"
checked=0
for document in README.md docs/*.md; do
  if ! diff "$document" "$work/$(basename "$document")"; then
    echo "$document is not what bash docs/make.sh makes"
    bad=1
  fi
  blocks=$(grep -c '^\$ blendrisk ' "$document" || true)
  checked=$((checked + blocks))
done
for document in README.md docs/decisions.md docs/line.md docs/learning.md docs/evidence.md docs/shop.md docs/tutorial.md; do
  if ! grep -q '^\$ blendrisk ' "$document"; then
    echo "$document shows no answer"
    bad=1
  fi
done

# Twins: what must not pass for an answer, and what must. $1 says whether the block in $work/block is kept as it is.
holds() {
  { echo '```'; echo '$ blendrisk chance examples/sedan.ini'; cat "$work/block"; echo '```'; } >"$work/twin.md"
  local kept=yes
  bash docs/shown.sh "$program" "$work/twin.md" | cmp -s - "$work/twin.md" || kept=no
  if [ "$kept" != "$1" ]; then
    echo "a block is kept: $kept, where it should be: $1"
    cat "$work/block"
    bad=1
  fi
}
"$program" chance examples/sedan.ini >"$work/answer"
cp "$work/answer" "$work/block"
holds yes
sed '/^Cautions/,$d' "$work/answer" | sed '$d' >"$work/block"
holds no # cut, and does not say so
echo '[...]' >>"$work/block"
holds yes
sed 's/[0-9] %/7 %/' "$work/block" >"$work/other"
mv "$work/other" "$work/block"
holds no # another number
{ cat "$work/answer"; echo '[...]'; } >"$work/block"
holds no # whole, and says that it is cut
{ sed -n '1,/^Landed content/p' "$work/answer"; echo '[...]'; } >"$work/block"
holds no # cut within a paragraph

echo "$checked answers in the documents checked"
[ "$checked" -gt 0 ] && exit $bad
