#!/usr/bin/env bash
# Which lines of models/ and src/ the tests reach: the unit tests, and the program tests that draw,
# print and show. usage: coverage.sh [options of gcovr, such as --fail-under-line 95]
set -euo pipefail
cd "$(dirname "$0")/.."
cores=$(nproc)
cmake --preset coverage >/dev/null
cmake --build --preset coverage --target blendrisk_tests blendrisk_program --parallel "$cores" | tail -n 1
find build/coverage -name '*.gcda' -delete
build/coverage/blendrisk_tests --gtest_brief=1 --gtest_filter='-*Slow*'
ctest --test-dir build/coverage -R '^(readme|pictures|page|table)$' --output-on-failure -j "$cores" | tail -n 12
# Threads may lose each other's counts, down to negative ones; which lines were reached stays right.
gcovr --gcov-ignore-parse-errors --root . --object-directory build/coverage --filter 'models/' \
  --filter 'src/' --sort-uncovered "$@"
