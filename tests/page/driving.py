"""Drives pages that compute: what is typed, waited for and timed in headless Chromium, and what the
program says of the same."""
import json
import subprocess
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor

from browser import PROGRAM, browser, open_page

SLOWED = 6


def natively(command, scenario, changes=(), readings=()):
    """The program's JSON, or its line without its name."""
    arguments = [PROGRAM, command, scenario, "--json"]
    for key, text in changes:
        arguments += [f"--{key}", text]
    for one in readings:
        arguments += ["--reading", one]
    done = subprocess.run(arguments, capture_output=True, text=True, check=False)
    if done.returncode == 0:
        return json.loads(done.stdout)
    return done.stderr.strip().removeprefix("blendrisk: ")


def settled(driver, page_part="answered", limit_s=180):
    """Waits until the answers stand there, or a refusal; None where they never do."""
    end = time.monotonic() + limit_s
    while time.monotonic() < end:
        state = driver.execute_script(
            "return [document.body.dataset.answered, document.getElementById('stale').hidden]")
        if state[0] and (page_part == "answered" or state[1]):
            return True
        time.sleep(0.02)
    return False


def type_all(driver, changes, prefix="all"):
    """Sets fields as typing does."""
    driver.execute_script("""
        delete document.body.dataset.answered;
        for (const [key, text] of arguments[1]) {
          const field = document.getElementById(`${arguments[0]}-${key}`);
          field.value = text;
          field.dispatchEvent(new Event('input', {bubbles: true}));
        }""", prefix, [list(one) for one in changes])


def type_in(driver, key, text, prefix="all"):
    type_all(driver, [(key, text)], prefix)


def object_of(driver, name):
    """The element of that id, for the browser's own commands."""
    return driver.execute_cdp_cmd("Runtime.evaluate", {
        "expression": f"document.getElementById({json.dumps(name)})"})["result"]["objectId"]


def times(driver, page):
    """Milliseconds with the processor slowed six-fold: from opening to the first answer, and of each
    answer after a change, from when the old ones are taken away. The least of three: what else the
    machine does only adds to them. A worker is not slowed: its answers are told as they would be."""
    def least(one, other):
        return one | {name: min(one.get(name, ms), ms) for name, ms in other.items()}

    seen = {}
    for _ in range(3):
        driver.execute_cdp_cmd("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
        open_page(driver, page, 360)
        while not driver.execute_script("return document.querySelector('#chance data.n') !== null"):
            time.sleep(0.02)
        seen = least(seen, {"first": driver.execute_script("return performance.now()")})
        settled(driver)
        seen = least(seen, driver.execute_async_script("""
            const done = arguments[arguments.length - 1], seen = {};
            const field = document.querySelector('#pump-part [data-key]');
            let start;
            const watch = new MutationObserver(() => {
              const now = performance.now();
              if (!start && !document.querySelector('#chance data.n')) start = now;
              if (!start) return;
              for (const id of ['chance', 'plan', 'waiting']) {
                const there = document.querySelector(`#${id} data.n`) || document.querySelector(`#${id} .big`);
                if (there && !(id in seen)) seen[id] = now - start;
              }
              if (document.body.dataset.answered) { watch.disconnect(); done(seen); }
            });
            watch.observe(document.body, {subtree: true, childList: true, attributes: true});
            delete document.body.dataset.answered;
            field.value = field.value.replace(/[0-9.]+/, (n) => (1.05 * n).toFixed(2));
            field.dispatchEvent(new Event('input', {bubbles: true}));"""))
        driver.execute_cdp_cmd("Emulation.setCPUThrottlingRate", {"rate": 1})
    return seen


def offline():
    """A browser without a network."""
    driver = browser()
    driver.execute_cdp_cmd("Network.enable", {})
    driver.execute_cdp_cmd("Network.emulateNetworkConditions",
                           {"offline": True, "latency": 0, "downloadThroughput": 0, "uploadThroughput": 0})
    return driver


def shared_out(jobs, problems):
    """Runs the jobs, (name, function of a driver), in two browsers."""
    lock = threading.Lock()

    def work():
        driver = offline()
        try:
            while True:
                with lock:
                    if not jobs:
                        return
                    name, job = jobs.pop(0)
                begin = time.monotonic()
                found = job(driver)
                with lock:
                    problems.extend(f"{name}: {one}" for one in found)
                    if "--times" in sys.argv:
                        print(f"{time.monotonic() - begin:6.1f} s  {name}", flush=True)
        finally:
            driver.quit()

    with ThreadPoolExecutor(2) as browsers:
        for one in [browsers.submit(work) for _ in range(2)]:
            one.result()
