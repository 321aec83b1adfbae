"""Headless Chromium and what is asked of any page that the program makes."""
import base64
import json
import pathlib
import re
import subprocess
import sys
import tempfile

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service

PROGRAM, AXE = sys.argv[1], pathlib.Path(sys.argv[2]).read_text(encoding="utf-8")
PAPERS = {"A4": (8.27, 11.69), "Letter": (8.5, 11)}
EXAMPLES = sorted(str(p) for p in pathlib.Path("examples").glob("*.ini"))

HOSTILE = """# Invented car with texts that try things
title = </script><script>alert(1)</script> 'a' "b" {/Bold x}^2_3 `id` $x & \\n; system "true"
[tank]
capacity = 50 L
[heel]
indicated = 4 L        # <img src=x onerror=alert(2)> & "more"
gauge-error = normal(0 L, 1 L)
content = 8 %
[fuel]
content = uniform(70 %, 82 %)
[line]
filter = 0.2 L
[engine]
idle = 1 L/h
[limits]
minimum = 60 %
"""


def run(*arguments):
    return subprocess.run([PROGRAM, *arguments], capture_output=True, text=True, check=True).stdout


def answer(*arguments):
    return json.loads(run(*arguments, "--json"))


def browser():
    options = Options()
    for flag in ("--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"):
        options.add_argument(flag)
    options.binary_location = "/usr/bin/chromium"
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    return webdriver.Chrome(service=Service("/usr/bin/chromedriver"), options=options)


def open_page(driver, path, width, fragment=""):
    driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride",
                           {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": True})
    driver.get_log("browser")
    driver.get_log("performance")
    driver.get("about:blank")
    driver.get(pathlib.Path(path).absolute().as_uri() + fragment)


def quiet(driver, path):
    """Console messages and requests of the page that was opened."""
    wrong = [entry["message"] for entry in driver.get_log("browser")]
    for entry in driver.get_log("performance"):
        message = json.loads(entry["message"])["message"]
        if message["method"] != "Network.requestWillBeSent":
            continue
        url = message["params"]["request"]["url"]
        if not url.startswith(("data:", "blob:")) and url.split("#")[0] != pathlib.Path(path).absolute().as_uri():
            wrong.append("asks for " + url)
    return wrong


def scrolls(driver):
    return driver.execute_script(
        "return document.documentElement.scrollWidth > document.documentElement.clientWidth")


def violations(driver):
    driver.execute_script(AXE)
    result = driver.execute_async_script(
        "const done = arguments[arguments.length - 1]; axe.run().then(r => done(r.violations))")
    return [f"{one['id']}: {one['nodes'][0]['html'][:90]}" for one in result]


def printed(driver, paper):
    """Pages of the print, as text without white space."""
    width, height = PAPERS[paper]
    pdf = base64.b64decode(driver.execute_cdp_cmd("Page.printToPDF", {
        "paperWidth": width, "paperHeight": height, "preferCSSPageSize": False})["data"])
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        file.write(pdf)
        file.flush()
        text = subprocess.run(["pdftotext", "-raw", file.name, "-"], capture_output=True, text=True,
                              check=True).stdout
    return [re.sub(r"\s+", "", page) for page in text.split("\f")[:-1]]
