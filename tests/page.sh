#!/usr/bin/env bash
# The guides in headless Chromium, see tests/page/check.py. Exits with 77, skipped, where Chromium,
# its driver, Selenium, poppler's tools or npm are missing; under CI that is a failure.
# usage: page.sh PROGRAM BUILD_DIR [live]   (run in the project's directory)
# live: pages that compute, see tests/page/live.py.
set -euo pipefail
program=$1
build=$2
axe_version=4.10.2

missing=()
for tool in chromium chromedriver pdftotext npm; do
  command -v "$tool" >/dev/null || missing+=("$tool")
done
/usr/bin/python3 -c 'import selenium' 2>/dev/null || missing+=(python3-selenium)
if [ ${#missing[@]} -gt 0 ]; then
  echo "skipped: ${missing[*]} not installed"
  [ -n "${CI:-}" ] && exit 1
  exit 77
fi

axe=$build/axe/node_modules/axe-core/axe.min.js
if [ ! -f "$axe" ]; then
  mkdir -p "$build/axe"
  npm install --loglevel=error --no-audit --no-fund --no-save --prefix "$build/axe" "axe-core@$axe_version"
fi
[ "${3:-}" = live ] && exec /usr/bin/python3 -B tests/page/live.py "$program" "$axe"
exec /usr/bin/python3 -B tests/page/check.py "$program" "$axe"
