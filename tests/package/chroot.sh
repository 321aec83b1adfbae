#!/usr/bin/env bash
# Installs the Debian packages with apt-get into a fresh minimal Debian, with nothing there but what
# they depend on: the program answers as the built one does, says so where gnuplot is missing, draws
# with what it recommends; the outside project builds against the library; removing leaves nothing.
# Needs root, debootstrap and a mirror; takes some minutes.
# usage: chroot.sh BUILD_DIR [SUITE [MIRROR]]
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
root=$(realpath "$here/../..")
build=$(realpath "$1")
suite=${2:-bookworm}
skip() {
  echo "skipped: $*"
  exit 77
}
[ "$(id -u)" -eq 0 ] || skip "only root can make a new root directory"
for tool in debootstrap chroot cpack; do
  command -v "$tool" >/dev/null || skip "$tool is not installed"
done
# The mirror that this system uses for the suite, in either form of its list.
mirror=${3:-$(cat /etc/apt/sources.list /etc/apt/sources.list.d/*.{list,sources} 2>/dev/null | awk -v suite="$suite" '
  $1 == "deb" {at = 2; while ($at ~ /[][=]/) at++; if ($(at + 1) == suite) {print $at; exit}}
  $1 == "URIs:" {uri = $2} $1 == "Suites:" && $2 == suite {print uri; exit}' || true)}
mirror=${mirror:-http://deb.debian.org/debian}

place=$(mktemp -d)
trap 'rm -rf --one-file-system "$place"' EXIT
new=$place/debian
export DEBIAN_FRONTEND=noninteractive LC_ALL=C
inside() { chroot "$new" "$@"; }
packages() { inside apt-get -y -q "$@" >"$place/log" 2>&1 || { cat "$place/log" && exit 1; }; }
fail() {
  echo "wrong: $*" >&2
  exit 1
}

cpack --config "$build/CPackConfig.cmake" -B "$place" >"$place/log" 2>&1 || { cat "$place/log" && exit 1; }
debootstrap --variant=minbase "$suite" "$new" "$mirror" >"$place/log" 2>&1 || { tail -n 5 "$place/log" && exit 1; }
echo "$suite from $mirror: $(inside dpkg-query -W | wc -l) packages"
packages update
mkdir "$new/debs"
cp "$place"/blendrisk_*.deb "$new/debs/blendrisk.deb"
cp "$place"/libblendrisk-dev_*.deb "$new/debs/libblendrisk-dev.deb"
cp -r "$here" "$new/outside"

packages install --no-install-recommends ./debs/blendrisk.deb
echo "installed with $(inside dpkg-query -W | wc -l) packages"
examples=/usr/share/doc/blendrisk/examples
for name in sedan wagon-reading; do
  diff <(inside blendrisk chance "$examples/$name.ini") <("$build/blendrisk" chance "$root/examples/$name.ini") ||
    fail "another answer than the built program gives"
done
status=0
said=$(inside blendrisk chance "$examples/sedan.ini" --output /tmp/landed.svg 2>&1) || status=$?
[[ $status/$said == 1/*gnuplot*"not installed"* ]] || fail "without gnuplot: $status $said"
[ ! -e "$new/tmp/landed.svg" ] || fail "a picture without gnuplot"
inside env SOURCE_DATE_EPOCH=0 blendrisk guide "$examples/wagon-line.ini" --output /tmp/guide.html >/dev/null
SOURCE_DATE_EPOCH=0 "$build/blendrisk" guide "$root/examples/wagon-line.ini" --output "$place/guide.html" >/dev/null
cmp "$new/tmp/guide.html" "$place/guide.html" || fail "another guide than the built program makes"
grep -q 'id="module"' "$new/tmp/guide.html" || fail "a guide that does not compute"
packages remove blendrisk

packages install --install-recommends ./debs/blendrisk.deb
inside blendrisk chance "$examples/sedan.ini" --output /tmp/landed.svg >/dev/null
grep -q '</svg>' "$new/tmp/landed.svg" || fail "no picture with what is recommended"
[ -s "$new/usr/share/bash-completion/completions/blendrisk" ] || fail "no completion"
echo "answers and draws"

packages install --no-install-recommends ./debs/libblendrisk-dev.deb cmake make g++
inside bash /outside/outside.sh /usr cmake g++

packages purge blendrisk libblendrisk-dev
left=$(find "$new/usr" "$new/etc" "$new/var/lib/dpkg/info" -name '*blendrisk*')
[ -z "$left" ] || fail "left behind: $left"
echo "passed"
