#!/usr/bin/env bash
# Makes the Debian packages and looks at them as Debian would: control fields, dependencies,
# contents, conventions; then unpacks them, runs the program on every example, reads the pages, and
# builds the outside project against the library.
# usage: deb.sh BUILD_DIR CPACK CMAKE CXX
set -uo pipefail
here=$(cd "$(dirname "$0")" && pwd)
root=$(realpath "$here/../..")
build=$(realpath "$1") cpack=$2 cmake=$3 cxx=$4
for tool in dpkg-deb dpkg-shlibdeps; do
  command -v "$tool" >/dev/null || { echo "skipped: $tool is not installed" && exit 77; }
done
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
bad=0
wrong() {
  echo "wrong: $*" >&2
  bad=1
}
# want WHAT PATTERN TEXT: the text matches the extended regular expression.
want() { grep -Eq -- "$2" <<<"$3" || wrong "$1: no \"$2\" in \"$3\""; }

"$cpack" --config "$build/CPackConfig.cmake" -B "$place" >"$place/log" 2>&1 || {
  cat "$place/log" >&2
  exit 1
}
version=$("$build/blendrisk" --version | cut -d ' ' -f 2)
arch=$(dpkg --print-architecture)
program=$place/blendrisk_${version}_$arch.deb
dev=$place/libblendrisk-dev_${version}_$arch.deb
for deb in "$program" "$dev"; do
  [ -s "$deb" ] || { wrong "no package $deb" && ls "$place" >&2 && exit 1; }
done

field() { dpkg-deb -f "$1" "$2"; }
for deb in "$program" "$dev"; do
  package=$(basename "$deb" | cut -d _ -f 1)
  want "$package name" "^$package\$" "$(field "$deb" Package)"
  want "$package version" "^${version//./\\.}\$" "$(field "$deb" Version)"
  want "$package architecture" "^$arch\$" "$(field "$deb" Architecture)"
  want "$package maintainer" '^blendrisk developers <blendrisk@example\.invalid>$' "$(field "$deb" Maintainer)"
  want "$package priority" '^optional$' "$(field "$deb" Priority)"
  # Debian policy 3.4.1: the first line is short, without an article and a full stop (from memory).
  want "$package description" '^[a-z].{10,78}[a-z)]$' "$(field "$deb" Description | head -n 1)"
  dpkg-deb -R "$deb" "$place/$package"
  (cd "$place/$package" && md5sum --quiet -c DEBIAN/md5sums) || wrong "$package: md5sums"
  doc=$place/$package/usr/share/doc/$package
  # Policy 12.5 and 12.7: copyright plain, changelog compressed.
  want "$package copyright" '^License: Expat$' "$(cat "$doc/copyright")"
  diff <(sed -n '5,$p' "$root/LICENSE") <(sed -n '/^License: Expat$/,$p' "$doc/copyright" |
    sed -n '/^ Permission/,$p' | sed -e 's/^ //' -e 's/^\.$//') || wrong "$package: copyright is not LICENSE"
  want "$package changelog" "^blendrisk \\($version\\)" "$(gzip -dc "$doc/changelog.gz" | head -n 1)"
  listing=$(dpkg-deb -c "$deb")
  strange=$(awk '$2 != "root/root" || $1 ~ /^[^l]....w|^[^l].......w|^-..s/ || $6 !~ /^\.\/usr\//' <<<"$listing")
  [ -z "$strange" ] || wrong "$package: owners, modes or places: $strange"
done

want "section" '^science$' "$(field "$program" Section)"
want "section" '^libdevel$' "$(field "$dev" Section)"
depends=$(field "$program" Depends)
for library in 'libc6 \(>= [0-9.]+\)' 'libstdc\+\+6 \(>= [0-9.]+\)' libboost-program-options libboost-iostreams; do
  want "dependencies" "(^|, )$library" "$depends"
done
want "recommends" '^gnuplot-nox \| gnuplot$' "$(field "$program" Recommends)"
for library in libboost-dev libeigen3-dev nlohmann-json3-dev; do
  want "dependencies of the library" "(^|, )$library \\(>= " "$(field "$dev" Depends)"
done

usr=$place/blendrisk/usr
for file in bin/blendrisk share/man/man1/blendrisk.1.gz share/man/man5/blendrisk-scenario.5.gz \
  share/bash-completion/completions/blendrisk share/doc/blendrisk/README.md share/doc/blendrisk/LICENSE; do
  [ -s "$usr/$file" ] || wrong "not in the package: $file"
done
[ -x "$usr/bin/blendrisk" ] || wrong "the program cannot be run"
if command -v readelf >/dev/null; then
  ! readelf -SW "$usr/bin/blendrisk" | grep -q '\.symtab' || wrong "the program is not stripped"
fi
stray=$(find "$place/blendrisk" "$place/libblendrisk-dev" -name '*.hpp' -path '*/cli/*' -o -name '*.hpp' -path '*/browser/*' -o -name '*.in' -o -name '*~')
[ -z "$stray" ] || wrong "in a package: $stray"
# The program's package holds none of the library, and the other way round.
if [ -e "$usr/include" ] || [ -e "$usr/lib" ]; then wrong "the program's package holds the library"; fi
[ ! -e "$place/libblendrisk-dev/usr/bin" ] || wrong "the library's package holds the program"

# Links between the documents hold where they are installed.
links=0
for document in "$usr"/share/doc/blendrisk/*.md "$usr"/share/doc/blendrisk/docs/*.md; do
  while read -r link; do
    links=$((links + 1))
    [ -e "$(dirname "$document")/$link" ] || wrong "$(basename "$document") points to $link, which is not there"
  done < <(grep -oE '\]\([^)#:]+\)' "$document" | sed -E 's/^\]\(|\)$//g')
done
[ "$links" -gt 20 ] || wrong "only $links links between the documents"

ran=0
for example in "$usr"/share/doc/blendrisk/examples/*.ini; do
  ran=$((ran + 1))
  "$usr/bin/blendrisk" chance "$example" >"$place/answer" || wrong "the unpacked program fails on $example"
  diff "$place/answer" <("$build/blendrisk" chance "$root/examples/$(basename "$example")") ||
    wrong "the unpacked program answers otherwise than the built one"
done
[ "$ran" -gt 3 ] || wrong "only $ran examples in the package"
for one in "$usr/bin/blendrisk" "$build/blendrisk"; do
  SOURCE_DATE_EPOCH=0 "$one" guide "$root/examples/wagon-line.ini" --output "$place/guide-$(basename "$(dirname "$one")").html" >/dev/null
done
cmp "$place/guide-bin.html" "$place/guide-$(basename "$build").html" || wrong "the unpacked program makes another guide"
bash "$here/manual.sh" "$usr/bin/blendrisk" "$usr/share/man"
case $? in
  0 | 77) ;;
  *) wrong "the pages" ;;
esac
bash "$here/outside.sh" "$place/libblendrisk-dev/usr" "$cmake" "$cxx" || wrong "the outside project"

if command -v lintian >/dev/null; then
  lintian --allow-root --fail-on error,warning "$program" "$dev" || wrong "lintian complains"
else
  echo "lintian is not installed; its checks were left out"
fi
echo "$ran examples ran, $links links hold"
exit "$bad"
