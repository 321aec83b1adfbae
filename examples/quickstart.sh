#!/usr/bin/env bash
# From a fresh copy to a first answer: installs what is missing, builds, runs an example.
set -euo pipefail
cd "$(dirname "$0")/.."
bash tests/install_packages.sh build
cmake --preset release
cmake --build --preset release --parallel "$(nproc 2>/dev/null || echo 2)"
echo
echo "\$ build/release/blendrisk chance examples/sedan.ini"
build/release/blendrisk chance examples/sedan.ini
