#!/usr/bin/env bash
# faults.sh must find out a program that writes its file in two halves under its own name.
# usage: faults_twin.sh PROGRAM   (run in the project's directory)
set -uo pipefail
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
export TMPDIR=$work
export BLENDRISK_WHOLE=$1
cat >"$work/halves" <<'SCRIPT'
#!/usr/bin/env bash
args=("$@")
last=$((${#args[@]} - 1))
if [ "${args[last - 1]}" != --output ]; then exec "$BLENDRISK_WHOLE" "$@"; fi
target=${args[last]}
made=$(mktemp -d)/${target##*/}
"$BLENDRISK_WHOLE" "${args[@]:0:last}" "$made" || exit
half=$(($(stat -c %s "$made") / 2))
head -c "$half" "$made" >"$target"
sleep 0.3
tail -c "+$((half + 1))" "$made" >>"$target"
SCRIPT
chmod +x "$work/halves"
answer=$(bash tests/faults.sh "$work/halves" 24 only 2>&1) && {
  echo "halves were not found out: $answer"
  exit 1
}
halves=$(grep -c 'half a file' <<<"$answer")
echo "$halves of 24 kills show half a file"
[ "$halves" -gt 0 ]
