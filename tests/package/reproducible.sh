#!/usr/bin/env bash
# Builds the program and its packages twice, from two copies of the source in places of different
# names, with other times of the files, another umask, zone, language and number of jobs, and
# compares them byte for byte. Takes some minutes.
# usage: reproducible.sh [JOBS]
set -euo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
jobs=${1:-$(nproc)}
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
# What a compiler's cache hands out twice proves nothing.
export CCACHE_DISABLE=1
unset CMAKE_CXX_COMPILER_LAUNCHER SOURCE_DATE_EPOCH

# Once, so that both are of the same source whatever goes on meanwhile.
tar -c -C "$root" -f "$place/source.tar" CMakeLists.txt README.md DEVELOPERS.md LICENSE src models tests examples docs

# build SOURCE BUILD JOBS
build() {
  mkdir -p "$1"
  tar -x -C "$1" -f "$place/source.tar"
  find "$1" -exec touch -d "2020-01-01 00:00:0$3" {} +
  cmake -S "$1" -B "$2" -DCMAKE_BUILD_TYPE=Release >/dev/null
  nice cmake --build "$2" -j "$3" >"$place/log" 2>&1 || { tail -n 20 "$place/log" >&2 && exit 1; }
  # The mask of Debian's own builds: cpack hands it on to the outermost archive.
  (umask 022 && cd "$2" && cpack >"$place/log" 2>&1) || { cat "$place/log" >&2 && exit 1; }
}

(umask 022 && export TZ=UTC LC_ALL=C && build "$place/a" "$place/a/build" "$jobs")
(umask 077 && export TZ=Pacific/Chatham LC_ALL=C.UTF-8 &&
  build "$place/another place of a longer name" "$place/elsewhere" 1)

bad=0 compared=0
for file in blendrisk libblendrisk.a pages/blendrisk.1.gz pages/blendrisk-scenario.5.gz \
  $(cd "$place/a/build" && ls ./*.deb); do
  compared=$((compared + 1))
  if cmp "$place/a/build/$file" "$place/elsewhere/$file"; then
    sha256sum "$place/a/build/$file" | sed "s#$place/a/build/##"
  else
    bad=1
    ! command -v diffoscope >/dev/null ||
      diffoscope --max-report-size 4000 "$place/a/build/$file" "$place/elsewhere/$file" || true
  fi
done
echo "$compared files compared"
[ "$compared" -eq 6 ] && exit "$bad"
