"""Memory stays small however many cases, threads and readings there are.

usage: memory.py PROGRAM   (run in the project's directory)

Runs commands one at a time and holds the most memory that each had at once against a limit.
"""
import os
import subprocess
import sys

PROGRAM = sys.argv[1]
LIMIT_MB = 200
COMMANDS = (
    "chance examples/benchmark.ini --method crude --cases 2e7",
    "chance examples/benchmark.ini --method crude --cases 2e7 --threads 1024",
    "chance examples/benchmark.ini --cases 1e7",
    "fill examples/sedan.ini --precision 0.1%",
    "heel examples/sedan.ini --precision 0.1%",
    "arrive examples/wagon-line.ini --cases 1e8",
    "arrive examples/wagon-line.ini --method crude --cases 1e6",
    "drivers examples/wagon-line.ini --cases 1e6",
    "curve examples/sedan.ini --along heel.indicated=2:6:0.001L --cases 64",
    "table examples/sedan.ini --rows heel.indicated=2:6:0.02L --columns fuel.content=70:80:0.5% "
    "--show chance --cases 64",
    "update examples/wagon-line.ini --readings examples/invented-readings.csv",
)


def peak_mb(words):
    """What one run had at most, which Linux tells in kB."""
    process = subprocess.Popen(words, stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode != 0:
        sys.exit(f"{' '.join(words)}: status {process.returncode}")
    return usage.ru_maxrss / 1000


bad = 0
for command in COMMANDS:
    peak = peak_mb([PROGRAM, *command.split()])
    print(f"{peak:6.1f} MB  {command}")
    bad += peak >= LIMIT_MB
# The measure sees memory that is there.
hungry = peak_mb([sys.executable, "-c", f"len(bytearray({LIMIT_MB} * 1000 * 1000))"])
if hungry < LIMIT_MB:
    sys.exit(f"{LIMIT_MB} MB were used, and {hungry:.1f} MB seen")
sys.exit(1 if bad else 0)
