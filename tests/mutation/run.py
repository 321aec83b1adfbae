#!/usr/bin/env python3
"""Makes each wrong change of changes.py in a copy of the sources, builds the unit tests and expects
one of them to fail; then puts the line back. The sources themselves are never touched.

usage: run.py [BUILD_DIRECTORY] [WORD]   (default build/mutation; only changes with WORD in the name)
       run.py --texts                    (only whether each change can still be made)
Takes a quarter of an hour. Exit status 0: every change was seen.
"""
import pathlib
import shutil
import subprocess
import sys

from changes import CHANGES

ROOT = pathlib.Path(__file__).resolve().parents[2]
JOBS = "2"


def build(directory):
    result = subprocess.run(
        ["cmake", "--build", directory / "build", "--target", "blendrisk_tests", "--parallel", JOBS],
        capture_output=True, text=True)
    return result.returncode == 0, result.stdout + result.stderr


def first_failure(directory, tests):
    """The name of a failing test; None where all pass; a crash or a hang counts as failing."""
    run = [directory / "build" / "blendrisk_tests", f"--gtest_filter={tests}:-*Slow*",
           "--gtest_fail_fast", "--gtest_brief=1"]
    try:
        result = subprocess.run(run, capture_output=True, text=True, cwd=directory / "source",
                                timeout=600)
    except subprocess.TimeoutExpired:
        return "a test that hangs"
    if "[==========] 0 tests" in result.stdout:
        sys.exit(f"no test matches {tests}")
    if result.returncode == 0:
        return None
    failed = [line.split()[3] for line in result.stdout.splitlines()
              if line.startswith("[  FAILED  ] ") and len(line.split()) > 3]
    return failed[0].rstrip(",") if failed else "a test that crashes"


def prepare(directory):
    source = directory / "source"
    shutil.rmtree(source, ignore_errors=True)
    for name in ("src", "models", "tests", "examples"):
        shutil.copytree(ROOT / name, source / name)
    for name in ("CMakeLists.txt", "CMakePresets.json", "README.md", "LICENSE"):
        shutil.copy2(ROOT / name, source)
    shutil.copytree(ROOT / "docs", source / "docs")
    subprocess.run(["cmake", "-S", source, "-B", directory / "build", "-DCMAKE_BUILD_TYPE=Debug",
                    "-DCMAKE_CXX_FLAGS=-O1", "-DBLENDRISK_BUILD_TESTS=ON", "-DBLENDRISK_NO_CLONES=ON",
                    "-DCMAKE_COMPILE_WARNING_AS_ERROR=OFF"], check=True, stdout=subprocess.DEVNULL)
    return source


def find_texts(source, changes):
    """Ends unless each change's text stands in its file exactly once."""
    for name, (file, text, _, _) in changes.items():
        found = (source / file).read_text().count(text)
        if found != 1:
            sys.exit(f"{name}: {file} holds the text {found} times; once is accepted")


def main():
    if sys.argv[1:] == ["--texts"]:
        find_texts(ROOT, CHANGES)
        print(f"{len(CHANGES)} changes can be made")
        return 0
    directory = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ROOT / "build" / "mutation").resolve()
    word = sys.argv[2] if len(sys.argv) > 2 else ""
    wanted = {name: change for name, change in CHANGES.items() if word in name}
    source = prepare(directory)
    find_texts(source, wanted)
    good, log = build(directory)
    if not good:
        sys.exit(log)
    tests = ":".join(sorted({part for change in wanted.values() for part in change[3].split(":")}))
    failing = first_failure(directory, tests)
    if failing:
        sys.exit(f"{failing} fails without any change")
    missed = 0
    for name, (file, text, wrong, tests) in wanted.items():
        path = source / file
        right = path.read_text()
        path.write_text(right.replace(text, wrong))
        try:
            good, log = build(directory)
            if not good:
                sys.exit(f"{name}: does not build\n{log}")
            failing = first_failure(directory, tests)
        finally:
            path.write_text(right)
        missed += failing is None
        print(f"{'seen  ' if failing else 'MISSED'}  {name}  ({failing or tests})", flush=True)
    print(f"{len(wanted) - missed} of {len(wanted)} wrong changes seen")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
