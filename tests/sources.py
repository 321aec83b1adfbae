#!/usr/bin/env python3
"""A published standard is named with how its value is known: wherever a number could rest on one, within two lines of its name
stand the words "from memory", "computed", "common practice" or "was read", or the page that was read (OpenEI).

usage: sources.py   (run in the project's directory)
Exit status: 0 all do, 1 some do not.
"""
import os
import re
import sys

NAMED = re.compile(r"\b(JCGM \d|ISO \d|ASTM D|NIST |OIML |EN 228|EN 15293|\d\d FR \d{4,})")
KNOWN = re.compile(r"from memory|common practice|computed|was read|OpenEI")
PLACES = ("src", "models", "tests", "docs", "examples", "README.md")
LEFT_OUT = ("docs/reference.md", "docs/gallery", "tests/fuzz/corpus", "tests/sources.py")  # made, or not for readers
NEAR = 2


def without_mark(line):
    """A line of a comment without what begins it, so that words are found across lines."""
    return re.sub(r"^\s*(///?|#)?\s*", "", line)


def unsaid(lines):
    """Numbers of lines that name a standard with no word near of how it is known."""
    return [n + 1 for n, line in enumerate(lines)
            if NAMED.search(line) and not KNOWN.search(" ".join(map(without_mark, lines[max(0, n - NEAR):n + NEAR + 1])))]


def files():
    for place in PLACES:
        if os.path.isfile(place):
            yield place
        for folder, _, names in os.walk(place):
            yield from (os.path.join(folder, name) for name in sorted(names))


def main():
    twin = ["limit = 83 %  # ASTM D5798", "", "", "pi = 3.14  # from memory"]
    if unsaid(twin) != [1] or unsaid(twin[1:]) or unsaid([twin[0] + " (from", "# memory)"]):
        print("the check finds nothing or too much")
        return 1
    bad = checked = 0
    for path in files():
        if path.startswith(LEFT_OUT) or not path.endswith((".cpp", ".hpp", ".py", ".sh", ".md", ".ini", ".cmake")):
            continue
        with open(path, encoding="utf-8") as file:
            lines = file.read().splitlines()
        checked += sum(1 for line in lines if NAMED.search(line))
        for n in unsaid(lines):
            print(f"{path}:{n}: names a standard and not how it is known: {lines[n - 1].strip()}")
            bad += 1
    print(f"{checked} lines that name a standard checked, {bad} bad")
    return 1 if bad or not checked else 0


if __name__ == "__main__":
    sys.exit(main())
