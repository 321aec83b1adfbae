#!/usr/bin/env bash
# The page that computes: its module by emscripten, then a release build that holds it, and the tests
# of both, which are part of tests/run.sh, too. Installs what is missing.
# usage: browser.sh [module]   (module: makes that alone, build/browser/blendrisk.wasm.gz)
set -euo pipefail
cd "$(dirname "$0")/.."
jobs=$(nproc 2>/dev/null || echo 2)
bash tests/install_packages.sh browser
cmake --preset browser
cmake --build --preset browser --parallel "$jobs"
[ "${1:-}" = module ] && exit
bash tests/install_packages.sh test
cmake --preset release -DBLENDRISK_BUILD_TESTS=ON -DBLENDRISK_PAGE_MODULE=build/browser/blendrisk.wasm.gz
cmake --build --preset release --parallel "$jobs" --target blendrisk_program
ctest --test-dir build/release -R '^(module|live_page)$' -j "$jobs" --output-on-failure --no-tests=error
