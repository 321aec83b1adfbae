#!/usr/bin/env bash
# Prints a document with every answer shown in it as the program gives it now. A block whose first line is
# "$ blendrisk ..." holds the answer's text, to its end or, where its last line is "[...]", cut after a paragraph: after the one
# that begins as the last one shown does or, where none does, after as many as were shown.
# usage: shown.sh PROGRAM DOCUMENT   (run in the project's directory)
set -euo pipefail
program=$1
mark='[...]'

# What of the answer on standard input a block shows that is cut where the block $1 is.
cut_like() {
  awk -v mark="$mark" '
    function squeezed(text) { gsub(/ +/, " ", text); return text }
    function is_end(text) { return text == "" || text == "#" }  # "#": within comment lines
    FNR == 1 { files++ }
    files == 1 { if ($0 == mark) next
                 if (is_end($0)) { inside = 0; next }
                 if (!inside) { inside = 1; shown++; begins = squeezed($0) }
                 next }
    { line[++lines] = $0 }
    is_end($0) { inside2 = 0; next }
    !inside2 { inside2 = 1; paragraphs++; first[paragraphs] = squeezed($0) }
    { last[paragraphs] = lines }
    END {
      stop = shown < paragraphs ? shown : paragraphs
      for (i = 1; i <= paragraphs; i++) if (first[i] == begins) { stop = i; break }
      for (i = 1; i <= last[stop]; i++) print line[i]
      if (last[stop] < last[paragraphs]) print mark
    }' "$1" -
}

block=$(mktemp)
trap 'rm -f "$block"' EXIT
inside=no  # no, opened, answer or other
while IFS= read -r line || [ -n "$line" ]; do
  if [[ $line == '```'* ]]; then
    if [ "$inside" = answer ]; then
      answer=$("$program" "${words[@]}")
      if [ "$(tail -n 1 "$block")" = "$mark" ]; then
        printf '%s\n' "$answer" | cut_like "$block"
      else
        printf '%s\n' "$answer"
      fi
    fi
    [ "$inside" = no ] && inside=opened || inside=no
  elif [ "$inside" = opened ] && [[ $line == '$ blendrisk '* ]]; then
    inside=answer
    : >"$block"
    eval "words=(${line#\$ blendrisk })"
  elif [ "$inside" = answer ]; then
    printf '%s\n' "$line" >>"$block"
    continue
  else
    [ "$inside" = opened ] && inside=other
  fi
  printf '%s\n' "$line"
done <"$2"
[ "$inside" = no ] || { echo "shown.sh: $2 ends within a block" >&2; exit 1; }
