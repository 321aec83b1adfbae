#!/usr/bin/env bash
# One suite of the unit tests in one process, but its slow cases and those that BLENDRISK_LEFT_OUT
# names (GoogleTest's patterns, parted by colons). The cases are told in suites/ beside PROGRAM, but
# where the process dies.
# usage: suite.sh PROGRAM SUITE
cd "$(dirname "$0")/.." || exit 1
exec "$1" --gtest_filter="$2.*-*Slow*:${BLENDRISK_LEFT_OUT:-}" \
  --gtest_output="xml:$(dirname "$1")/suites/${2//\//-}.xml"
