"""guide: the numbers on the page are those of the commands."""
import os
import re
import subprocess


def compare(job, folder):
    page = os.path.join(folder, "guide.html")
    run = subprocess.run([job.program, "guide", job.path, "--output", page], capture_output=True, text=True)
    if run.returncode:
        job.tally.skip("guide refused")
        job.refused.append(f"{os.path.basename(job.path)} guide: {run.stderr.strip()}")
        return
    with open(page, encoding="utf-8") as file:
        found = re.findall(r'<data class="n" data-source="([^"]*)" value="([^"]*)"', file.read())
    job.tally.note("guide numbers", len(found) >= 5, f"only {len(found)} on the page")
    for source, shown in found:
        command, *path = source.split("/")
        if command == "table":
            continue  # tests/page/check.py
        wanted = job.ask(command)
        for step in path:
            wanted = wanted[int(step)] if isinstance(wanted, list) else wanted[step]
        job.tally.equal("guide number", float(shown), float(wanted), 0)
