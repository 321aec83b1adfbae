#!/usr/bin/env bash
# What the completion offers: every option that the help of a command lists and no other, every key,
# every word of an enumerated option, and files, on lines as a user types them.
# usage: completion.sh PROGRAM COMPLETION   (the shell's part of it)
# No -e: outside of a completion `compopt` fails.
set -uo pipefail
program=$(realpath "$1") completion=$(realpath "$2")
work=$(mktemp -d) bin=$(mktemp -d)
trap 'rm -rf "$work" "$bin"' EXIT
cd "$work" || exit 1
ln -s "$program" "$bin/blendrisk"
PATH=$bin:$PATH
mkdir cars
touch one.ini 'two cars.ini' notes.txt log.csv part-1.csv old.svg cars/three.ini
printf 'station,content_percent\r\nA,74\n' >tests.csv

# shellcheck source=/dev/null
source "$completion"
bad=0 checked=0

# Words of the line as Bash hands them to a completion: parted by blanks outside quotes, and = and :
# stand alone.
complete_line() {
  local line=$1 word='' quote='' i c
  COMP_LINE=$line COMP_POINT=${#line} COMP_WORDS=()
  for ((i = 0; i < ${#line}; i++)); do
    c=${line:i:1}
    if [[ $quote ]]; then
      word+=$c
      [[ $c != "$quote" ]] || quote=
    elif [[ $c == [\"\'] ]]; then
      word+=$c quote=$c
    elif [[ $c == \\ ]]; then
      word+=$c${line:i+1:1}
      ((++i))
    elif [[ $c == ' ' ]]; then
      [[ ! $word ]] || COMP_WORDS+=("$word")
      word=
    elif [[ $c == [=:] ]]; then
      [[ ! $word ]] || COMP_WORDS+=("$word")
      COMP_WORDS+=("$c")
      word=
    else
      word+=$c
    fi
  done
  # Right after = or : the cursor stands in that word; after a blank in an empty one.
  [[ ! $word && $line == *[=:] ]] || COMP_WORDS+=("$word")
  COMP_CWORD=$((${#COMP_WORDS[@]} - 1))
  COMPREPLY=()
  _blendrisk blendrisk
}

wrong() {
  echo "wrong: $*" >&2
  bad=1
}

# expect LINE WORD...: exactly these words, in any order.
expect() {
  local line=$1 offered wanted
  shift
  complete_line "$line"
  checked=$((checked + 1))
  offered=$(printf '%s\n' "${COMPREPLY[@]}" | sort)
  wanted=$(printf '%s\n' "$@" | sort)
  [ "$offered" = "$wanted" ] || wrong "\"$line\" offers ${offered:-nothing}" "and not ${wanted:-nothing}"
}

commands=$("$program" help | awk '/^Commands:/ {inside = 1; next} /^$/ {inside = 0} inside {print $1}')
keys=$("$program" help keys | awk '
  /^\[/ {section = substr($1, 2, length($1) - 2) "."} /^Quantities/ {exit} /^  [a-z]/ {print section $1}')
[ "$(wc -w <<<"$keys")" -gt 40 ] || wrong "help keys lists only $keys"

# shellcheck disable=SC2086
expect 'blendrisk ' $commands --help --version
expect 'blendrisk ch' chance
expect 'blendrisk --v' --version
# shellcheck disable=SC2086
expect 'blendrisk help ' $commands keys
expect 'blendrisk help k' keys
expect 'blendrisk --help cu' curve
expect 'blendrisk help keys '
expect 'blendrisk frobnicate '
expect 'blendrisk new --' --back --help --version

sections='--title --tank. --heel. --sensor. --fuel. --fill. --line. --engine. --before. --tester. --limits. --policy.'
for n in 2 3 4 5 6 7 8 9; do sections+=" --fill-$n."; done
for command in $commands; do
  case $command in help | new) continue ;; esac
  options=$("$program" "$command" --help | awk '/^Options:/ {inside = 1; next} inside {print $1}')
  [[ $options == *--help* ]] || wrong "$command --help lists no options"
  # shellcheck disable=SC2086
  expect "blendrisk $command --" $options $sections
  for option in $options; do
    complete_line "blendrisk $command car.ini ${option%?}"
    [[ " ${COMPREPLY[*]} " == *" $option "* ]] || wrong "$command: $option is not completed"
  done
  for key in $keys; do
    complete_line "blendrisk $command car.ini --${key%?}"
    [[ " ${COMPREPLY[*]} " == *" --$key "* ]] || wrong "$command: --$key is not completed"
  done
done

expect 'blendrisk chance --method ' conditional crude
expect 'blendrisk chance --method=' conditional crude
expect 'blendrisk chance --method=c' conditional crude
expect 'blendrisk table --show ' amount heel chance
expect 'blendrisk curve --show ' amount chance landed arrival
expect 'blendrisk curve x.ini --scale l' log linear
expect 'blendrisk heel x.ini --units ' metric us
expect 'blendrisk chance x.ini --seed '
expect 'blendrisk chance x.ini --line.pipe-flow ' laminar plug
expect 'blendrisk chance x.ini --fill-3.amount c' click-off
expect 'blendrisk chance x.ini --hee' --heel.
expect 'blendrisk chance x.ini --heel.r' --heel.reading --heel.reserve
expect 'blendrisk chance x.ini --heel.reading "4 %" --heel.r' --heel.reserve
expect 'blendrisk chance x.ini --json --js'
expect 'blendrisk update x.ini --reading "1 L: 50 %" --readi' --reading --readings
expect 'blendrisk curve x.ini --along heel.i' heel.indicated=
expect 'blendrisk curve x.ini --along=heel.i' heel.indicated=
expect 'blendrisk curve x.ini --along limits.m' limits.minimum= limits.maximum=
expect 'blendrisk curve x.ini --along heel.indicated=2:'
expect 'blendrisk curve x.ini --along heel.indicated=2:20:1L --b' --before. --by
expect 'blendrisk table x.ini --rows heel.indicated=2:20:1L --columns fuel.co' fuel.content=
expect 'blendrisk table x.ini --rows t' tank. tester.
expect 'blendrisk learn --log ' cars log.csv part-1.csv tests.csv
expect 'blendrisk learn --log tests.csv --group ' station content_percent
expect 'blendrisk learn --log missing.csv --group '
expect 'blendrisk verify ' cars log.csv part-1.csv tests.csv
expect 'blendrisk verify tests.csv x.ini --where ' station= content_percent=
expect 'blendrisk verify tests.csv x.ini --show ' shares reliability rows
expect 'blendrisk update x.ini --readings ' - cars log.csv part-1.csv tests.csv
expect 'blendrisk chance x.ini --output ' cars old.svg
expect 'blendrisk guide x.ini --output ' cars
expect 'blendrisk chance ' cars one.ini 'two cars.ini'
expect 'blendrisk chance "two' 'two cars.ini'
expect 'blendrisk chance two\ c' 'two cars.ini'
expect 'blendrisk chance cars/' cars/three.ini
expect 'blendrisk table one.ini ' cars one.ini 'two cars.ini'
expect 'blendrisk table --join part' part-1.csv
expect 'blendrisk chance one.ini o'

# Every word that is offered is one that the program takes.
"$program" new >car.ini
for pair in "chance --method" "curve --show" "curve --scale" "table --show" "fill --units" \
  "chance --line.pipe-flow" "chance --fill.amount"; do
  read -r command option <<<"$pair"
  complete_line "blendrisk $command car.ini $option "
  for word in "${COMPREPLY[@]}"; do
    case "$command $option $word" in
      'curve --show arrival') more=(--along heel.indicated=1:3:1L --after "1 L" --cases 64) ;;
      'curve --show chance') more=(--along heel.indicated=1:3:1L --cases 64) ;;
      'curve --scale'*) more=(--along heel.indicated=1:3:1L --cases 64 --output cars/scale.svg) ;;
      curve*) more=(--along heel.indicated=1:3:1L) ;;
      'table --show chance')
        more=(--rows limits.dry-risk=1:2:1% --columns tank.capacity=60:61:1L --cases 64)
        ;;
      table*) more=(--rows limits.dry-risk=1:2:1% --columns tank.capacity=60:61:1L) ;;
      chance*) more=(--cases 64) ;;
      *) more=() ;;
    esac
    said=$("$program" "$command" car.ini "$option" "$word" "${more[@]}" 2>&1 >/dev/null) || true
    [[ $said != *"$option"* && $said != *"${option#--}"* ]] || wrong "$command refuses $option $word: $said"
  done
done

# In a Bash that someone types into, on a terminal: what the program gets after a press of Tab.
if command -v script >/dev/null; then
  typed() {
    checked=$((checked + 1))
    printf '%b\n' "PS1=; source '$completion'; blendrisk() { printf '<%s>' got \"\$@\"; echo; }" \
      "blendrisk $1" exit | TERM=dumb script -qec 'bash --norc --noprofile -i' /dev/null 2>&1 |
      grep -a '<got>' | grep -aFq -- "<got>$2" || wrong "on a terminal: $1"
  }
  typed 'cha\ttw\t--meth\tcr\t' '<chance><two cars.ini><--method><crude>'
  typed 'curve on\t --al\theel.ind\t2:8:1L --sho\tla\t' \
    '<curve><one.ini><--along><heel.indicated=2:8:1L><--show><landed>'
  typed 'heel cars/t\t--line.pipe-f\tpl\t' '<heel><cars/three.ini><--line.pipe-flow><plug>'
  typed 'chance one.ini --method=cr\t' '<chance><one.ini><--method=crude>'
  typed 'learn --log te\t--gr\tst\t' '<learn><--log><tests.csv><--group><station>'
fi

echo "$checked lines completed"
[ "$checked" -gt 40 ] && exit "$bad"
