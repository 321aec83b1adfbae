"""A scenario dealt out at random to files that include one another: it has to answer with the same bytes.

Written from docs/shop.md alone: what a file gives wins over what it includes, later includes over earlier ones, and paths
are seen from the file that they stand in. What is given wrongly below the right line must change nothing.
"""
import os
import re
import subprocess


# What may be given wrongly where it is overruled: any text that its key reads.
WRONG = {"tank.capacity": "999 L", "limits.minimum": "1 %", "limits.accepted-risk": "49 %", "fuel.price": "77 /L",
         "sensor.noise": "9 %"}


def lines_of(text):
    """(section, line) of every key, and the lines of the correlations, which stay together."""
    section, keys, together = "", [], []
    for line in text.splitlines():
        bare = line.split("#")[0].strip()
        if bare.startswith("["):
            section = bare.strip("[]").lower()
        elif bare.startswith(";") or not bare:
            continue
        elif section == "correlation":
            together.append(line)
        else:
            keys.append((section, line))
    return keys, together


def dealt(path, rng, folder):
    """Writes the files. @return the first of them, which has the scenario's name"""
    with open(path) as file:
        keys, together = lines_of(file.read())
    count = int(rng.integers(2, 7))
    names = [os.path.basename(path)] + [f"{'deep/' if i % 2 else ''}part-{i}.ini" for i in range(1, count)]
    above = [0] + [int(rng.integers(0, i)) for i in range(1, count)]
    texts = [""] * count
    for i in range(1, count):
        seen = os.path.relpath(names[i], os.path.dirname(names[above[i]]) or ".")
        texts[above[i]] = f"include = {seen}\n" + texts[above[i]]
    heads = sorted(keys, key=lambda one: one[0] != "")  # what is in no section comes first
    looked = None  # where the gauge's readings are: a heel.now above a heel.indicated puts it out of use
    for section, line in heads:
        to = int(rng.integers(0, count))
        if section == "heel" and line.split("=")[0].strip().lower() in ("now", "indicated"):
            looked = to = to if looked is None else looked
        home = os.path.relpath(os.path.dirname(os.path.abspath(path)), os.path.join(folder, os.path.dirname(names[to])))
        line = re.sub(r'measured\("([^"]*)"', lambda m: f'measured("{os.path.join(home, m.group(1))}"', line)
        head = f"[{section}]\n" if section else ""
        texts[to] += head + line + "\n"
        key = f"{section}.{line.split('=')[0].strip().lower()}"
        if to == 0 and key in WRONG:  # every other file is below this one
            texts[-1] += f"{head}{key.split('.')[1]} = {WRONG[key]}\n"
    texts[0] += "[correlation]\n" + "\n".join(together) + "\n" if together else ""
    for name, text in zip(names, texts):
        full = os.path.join(folder, name)
        os.makedirs(os.path.dirname(full), exist_ok=True)
        with open(full, "w") as file:
            file.write("# invented\n" + (text or "[tank]\n"))
    return os.path.join(folder, names[0])


def answer(program, command, path, more=()):
    run = subprocess.run([program, command, path, "--json", *more], capture_output=True, text=True)
    said = re.sub(r'"elapsed_s":[^,}]*', "", run.stdout)
    # A refusal names the file that the line stands in.
    return said if run.returncode == 0 else "refused: " + run.stderr.split(": ", 2)[-1].strip()


def without_folders(text):
    return re.sub(r'(\.\./|[\w.-]+/)+pump-tests', "pump-tests", text)


def compare(program, path, tally, rng, folder):
    folder = os.path.join(folder, "split-" + os.path.basename(path))
    for _ in range(2):
        split = dealt(path, rng, folder)
        for command in ("chance", "fill"):
            whole, parts = (without_folders(answer(program, command, p)) for p in (path, split))
            tally.note("split", whole == parts, f"{split} {command} differs: {parts[:200]}")
    # The twin: above all, a wrong line has to change the answer.
    with open(split) as file:
        text = file.read()
    right = re.compile(r"^accepted-risk *=.*$", re.M)
    wrong = "accepted-risk = 44 %"
    with open(split, "w") as file:
        file.write(right.sub(wrong, text) if right.search(text) else text + f"[limits]\n{wrong}\n")
    changed = answer(program, "chance", split)
    seen = changed != answer(program, "chance", path) and not changed.startswith("refused")
    tally.note("split", seen, f"{split}: a wrong line above all changes nothing, or is not read")
