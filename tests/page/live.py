"""Opens pages that compute in headless Chromium, from a file and with the network off, and holds
them against the program.

usage: live.py PROGRAM AXE_JS [SCENARIOS]   (run in the project's directory)

Two browsers share the checks.

For every example: no console message, no request, nothing stored, no violation that axe-core sees in
light, dark and forced colours, a tree of names and roles that reads in the order in which it is done,
no scrolling sideways at 360 px, every number as the program's JSON has it (to 1e-9; searches as they
are), also after typing in the fields; a print of two A4 and two Letter pages. The same of pages in
German, which have no English on them. For invented changes of the examples, SCENARIOS of them (10
unless said), the same numbers through the fields of the workshop.
Refusals are the program's line at the field; a link opens to the same answers; a page whose module is
broken is the plan as it was made, and one that may have no worker answers. Times with the processor
slowed six-fold are told; judged is that the first answer is there in time. What is judged is tried on
a wrong page, too.
"""
import pathlib
import random
import re
import sys
import tempfile
import time
import urllib.parse
from concurrent.futures import ThreadPoolExecutor

from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from browser import EXAMPLES, HOSTILE, open_page, quiet, run, scrolls, violations
from driving import natively, object_of, offline, settled, shared_out, times, type_all, type_in
from judging import colours, english, errors, numbers, print_problems, reading_order, stored
from tree import order_problems, spoken

LARGEST = 900_000
FIRST_MS = 2000
POOL = ThreadPoolExecutor(2)


def check_example(driver, page, scenario):
    open_page(driver, page, 360)
    wrong = []
    if not settled(driver):
        return ["does not answer: " + "; ".join(quiet(driver, page))]
    first, right = numbers(driver, scenario)
    wrong += first
    if right < 3:
        wrong.append(f"has hardly any numbers ({right})")
    wrong += errors(driver) + reading_order(driver)
    driver.execute_script("document.getElementById('workshop-details').open = true")
    if scrolls(driver):
        wrong.append("scrolls sideways at 360 px")
    wrong += colours(driver) + stored(driver)
    driver.execute_script("document.getElementById('workshop-details').open = false")
    wrong += print_problems(driver)
    # A higher gauge, and readings.
    key = driver.execute_script("return document.querySelector('#pump-part [data-key]').dataset.key")
    text = driver.execute_script("return document.querySelector('#pump-part [data-key]').dataset.start")
    more = re.sub(r"[0-9.]+", lambda number: f"{1.3 * float(number[0]):.2f}", text, count=1)
    type_in(driver, key, more, "pump")
    if not settled(driver, "guide"):
        wrong.append("the guide is never computed anew")
    wrong += numbers(driver, scenario, [(key, more)])[0] + errors(driver)
    wrong += quiet(driver, page)
    return wrong


def check_refusals(driver, page, scenario):
    wrong = []
    open_page(driver, page, 360)
    settled(driver)
    for key, text in (("heel.indicated", "eight"), ("heel.indicated", "8"), ("heel.indicated", "800 L"),
                      ("fuel.content", "E85"), ("fuel.content", "0,8 %"), ("limits.accepted-risk", "3 L"),
                      ("sensor.noise", "normal(0 %, 1 %)"), ("fill.amount", "some")):
        said = natively("chance", scenario, [(key, text)])
        driver.execute_script("document.getElementById('workshop-details').open = true")
        type_in(driver, key, text)
        settled(driver)
        shown = driver.find_element(By.ID, f"all-{key}-error").text
        if not isinstance(said, str) or shown != said:
            wrong.append(f"{key} = {text} shows {shown!r}, the program says {said!r}")
        heard = driver.execute_cdp_cmd("Accessibility.queryAXTree", {
            "objectId": object_of(driver, f"all-{key}"), "role": "textbox"})["nodes"]
        if not any(node.get("description", {}).get("value", "") == shown for node in heard):
            wrong.append(f"{key} = {text} is refused where no screen reader tells it with the field")
        if driver.execute_script("return document.querySelectorAll('.live data.n').length"):
            wrong.append(f"{key} = {text} leaves numbers")
        type_in(driver, key, "")
    if not settled(driver) or errors(driver):
        wrong.append(f"no answer after {key} was emptied")
    return wrong + quiet(driver, page)


def check_link(driver, page, scenario):
    changes, readings = [("heel.indicated", "7 L"), ("fuel.content", "81 %")], ["0.3 L: 57 %", "0.9 L: 70 %"]
    fragment = "#" + urllib.parse.urlencode(changes + [("reading", one) for one in readings])
    open_page(driver, page, 360, fragment)
    if not settled(driver):
        return ["a link does not answer"]
    wrong, right = numbers(driver, scenario, changes, readings)
    if not right or not driver.find_elements(By.CSS_SELECTOR, "#odds data.n"):
        wrong.append("the readings of a link have no odds")
    met = natively("update", scenario, changes, readings)["met"]
    verdict = driver.find_element(By.CSS_SELECTOR, "#odds .verdict").text
    if (verdict == "SWITCH") != met:
        wrong.append(f"says {verdict}, and met is {met}")
    # What is typed goes into the address.
    type_in(driver, "heel.indicated", "6.5 L")
    settled(driver)
    if "heel.indicated=6.5+L" not in driver.current_url:
        wrong.append("the address does not carry what is typed: " + driver.current_url[-80:])
    return wrong + numbers(driver, scenario, [("heel.indicated", "6.5 L"), changes[1]], readings)[0]


def check_hostile_link(driver, page):
    """What a link carries is text, whatever it looks like."""
    bad = "<img src=x onerror=\"document.body.dataset.bad='yes'\">"
    wrong = []
    for key, text in (("title", bad), ("heel.indicated", bad), (bad, "1 L"), ("reading", bad),
                      ("heel.content", f'measured("{bad}", "x")')):
        open_page(driver, page, 360, "#" + urllib.parse.urlencode([(key, text)]))
        settled(driver)
        if driver.execute_script("return document.body.dataset.bad !== undefined"
                                 " || document.querySelector('img[src=x]') !== null"):
            wrong.append(f"{key} becomes markup")
        if key != "title" and not errors(driver):
            wrong.append(f"{key} = {text} is not refused")
    return wrong + quiet(driver, page)


def check_hostile_scenario(driver, work):
    scenario, page = pathlib.Path(work) / "hostile.ini", pathlib.Path(work) / "hostile.html"
    scenario.write_text(HOSTILE, encoding="utf-8")
    run("guide", str(scenario), "--output", str(page))
    open_page(driver, page, 360)
    if not settled(driver):
        return ["does not answer"]
    # A script of its texts would stop at its alert.
    type_in(driver, "heel.indicated", "5 L")
    settled(driver, "guide")
    wrong = ["has a picture of its texts"] * driver.execute_script(
        "return document.querySelectorAll('img[src=x]').length")
    return wrong + quiet(driver, page) + numbers(driver, str(scenario), [("heel.indicated", "5 L")])[0]


def check_keyboard(driver, page, scenario):
    open_page(driver, page, 360)
    settled(driver)
    seen, body = [], driver.find_element(By.TAG_NAME, "body")
    body.send_keys(Keys.TAB)
    for _ in range(40):
        active = driver.switch_to.active_element
        name = driver.execute_script("return arguments[0].id || arguments[0].tagName", active)
        seen.append(name)
        if name == "pump-heel.indicated":
            driver.execute_script("delete document.body.dataset.answered")
            active.send_keys(Keys.CONTROL, "a")
            active.send_keys("5 L")
            settled(driver)
        if name == "reading-when":
            driver.execute_script("delete document.body.dataset.answered")
            active.send_keys("0.4 L", Keys.TAB, "60 %", Keys.ENTER)
        if name == "SUMMARY":
            break
        active.send_keys(Keys.TAB)
    order = [seen.index(name) if name in seen else -1
             for name in ("pump-heel.indicated", "pump-fuel.content", "done-fill.shown", "reading-when", "SUMMARY")]
    wrong = [] if order == sorted(order) and order[0] >= 0 else [f"the keyboard goes through {seen}"]
    settled(driver)
    bad, right = numbers(driver, scenario, [("heel.indicated", "5 L")], ["0.4 L: 60 %"])
    return wrong + bad + ["the keyboard brings no answers"] * (right < 3)


def check_broken(driver, page, work):
    text = pathlib.Path(page).read_text(encoding="utf-8")
    wrong = []
    whole = re.search(r'<div id="guide">.*?</div>\n<section class="live" hidden id="workshop', text, re.S)
    for name, bad in (("cut", re.sub(r'(id="module">.{5000})[^<]*', r"\1", text)),
                      ("none", re.sub(r'(id="module">)[^<]*', r"\1", text)),
                      ("blocked", text.replace(" 'wasm-unsafe-eval'", ""))):
        path = pathlib.Path(work) / f"{name}.html"
        path.write_text(bad, encoding="utf-8")
        open_page(driver, path, 360)
        end = time.monotonic() + 10
        while time.monotonic() < end and driver.execute_script(
                "return document.getElementById('broken').hidden"):
            time.sleep(0.02)
        shows = driver.execute_script(
            "return [document.getElementById('broken').checkVisibility(),"
            " [...document.querySelectorAll('.live')].some(p => p.checkVisibility()),"
            " document.getElementById('guide').checkVisibility(), document.querySelectorAll('#guide data.n').length]")
        if shows[:3] != [True, False, True] or shows[3] < 5 or not whole:
            wrong.append(f"a module that is {name} leaves {shows}")
    return wrong


def check_alone(driver, page, scenario, work):
    """Where no worker may be had the page answers all the same."""
    path = pathlib.Path(work) / "alone.html"
    path.write_text(pathlib.Path(page).read_text(encoding="utf-8").replace("worker-src blob:", "worker-src 'none'"),
                    encoding="utf-8")
    readings = ["0.3 L: 57 %"]
    open_page(driver, path, 360, "#" + urllib.parse.urlencode([("heel.indicated", "7 L"), ("reading", readings[0])]))
    if not settled(driver, "guide"):
        return ["does not answer"]
    wrong, right = numbers(driver, scenario, [("heel.indicated", "7 L")], readings)
    if right < 10 or not driver.find_elements(By.CSS_SELECTOR, "#waiting table"):
        wrong.append(f"has hardly any numbers ({right})")
    if not any("worker" in one for one in quiet(driver, path)):
        wrong.append("had a worker")
    return wrong


def invented(chance, scenario):
    """Changes of a scenario that it may or may not bear."""
    changes = []
    text = pathlib.Path(scenario).read_text(encoding="utf-8")
    if "[heel]\nindicated" in text:
        changes.append(("heel.indicated", f"{chance.uniform(2, 20):.1f} L"))
    if "content" in text:
        low = chance.uniform(51, 75)
        changes.append(("fuel.content", f"uniform({low:.1f} %, {low + chance.uniform(1, 10):.1f} %)"))
    changes.append(("heel.gauge-error", f"normal(0 L, {chance.uniform(0.2, 2):.2f} L)"))
    if chance.random() < 0.5:
        changes.append(("limits.accepted-risk", f"{chance.uniform(0.2, 5):.2f} %"))
    if chance.random() < 0.5:
        changes.append(("fuel.hose-volume", f"{chance.uniform(0.1, 1.5):.2f} L"))
    return changes


def check_invented(driver, page, scenario, sets):
    """Sets of changes, one after another in one page."""
    open_page(driver, page, 360)
    settled(driver)
    wrong, before = [], []
    for changes in sets:
        # Meanwhile the program answers, too.
        natives = [POOL.submit(natively, command, scenario, changes) for command in ("chance", "fill", "arrive")]
        typed = {key: "" for key, _ in before} | dict(changes)
        type_all(driver, list(typed.items()))
        before = changes
        if not settled(driver):
            return wrong + [f"{changes}: no answer"]
        said = natives[0].result()
        if isinstance(said, str):
            # The page knows the scenario's name alone.
            said = said.replace(scenario, pathlib.Path(scenario).name)
            if said not in errors(driver):
                wrong.append(f"{changes}: shows {errors(driver)}, the program says {said}")
            continue
        known = dict(zip(("chance", "fill", "arrive"), (one.result() for one in natives)))
        bad, right = numbers(driver, scenario, changes, known=known)
        wrong += [f"{changes}: {one}" for one in bad] + [f"{changes}: hardly any numbers"] * (right < 3)
    return wrong


def all_invented(count):
    """Sets of changes by example."""
    chance, sets = random.Random(20311104), {}
    bases = [one for one in EXAMPLES if "reading" not in one]
    for k in range(count):
        scenario = bases[k % len(bases)]
        sets.setdefault(scenario, []).append(invented(chance, scenario))
    return sets


def check_language(driver, work, scenario):
    """A page in German: as the English one in all but its words, of which none are English."""
    page = str(pathlib.Path(work) / f"german-{pathlib.Path(scenario).stem}.html")
    run("guide", scenario, "--language", "german", "--output", page)
    wrong, readings = [], ["0.3 L: 57 %", "0.9 L: 70 %"] if "line" in scenario else []
    if pathlib.Path(page).stat().st_size > LARGEST:
        wrong.append(f"has {pathlib.Path(page).stat().st_size} bytes")
    open_page(driver, page, 360, "#" + urllib.parse.urlencode([("reading", one) for one in readings]))
    if not settled(driver):
        return wrong + ["does not answer: " + "; ".join(quiet(driver, page))]
    if driver.execute_script("return document.documentElement.lang") != "de":
        wrong.append("does not say its language")
    wrong += print_problems(driver)
    driver.execute_script("document.getElementById('workshop-details').open = true")
    type_in(driver, "heel.indicated", "7.5 L", "pump")
    settled(driver, "guide")
    commands = 4 + bool(readings)
    for _ in range(600):
        if driver.execute_script("return document.querySelectorAll('#answers pre').length") == commands:
            break
        time.sleep(0.1)
    else:
        wrong.append("not all answers come")
    bad, right = numbers(driver, scenario, [("heel.indicated", "7.5 L")], readings)
    wrong += bad + ["hardly any numbers"] * (right < 3) + violations(driver) + english(driver)
    if scrolls(driver):
        wrong.append("scrolls sideways at 360 px")
    type_in(driver, "heel.indicated", "7,5 L", "pump")
    time.sleep(1)
    refusal = driver.find_element(By.ID, "pump-heel.indicated-error")
    if refusal.text != natively("chance", scenario, [("heel.indicated", "7,5 L")]) or refusal.get_attribute("lang") != "en":
        wrong.append(f"refuses with {refusal.text!r} in {refusal.get_attribute('lang')!r}")
    return wrong + quiet(driver, page)


def twin(driver, page, scenario, work):
    """A page that computes with another seed, stores, asks and says a word too many must be seen."""
    text = pathlib.Path(page).read_text(encoding="utf-8")
    bad = text.replace('"seed":1', '"seed":2').replace(
        "</main>", "<p style='width:900px'><label>x</label><input><button></button></p><img alt='' src='http://127.0.0.1:9/x'></main>")
    path = pathlib.Path(work) / "twin.html"
    path.write_text(bad, encoding="utf-8")
    open_page(driver, path, 360)
    settled(driver)
    seen = quiet(driver, path)
    wanted = {"number": bool(numbers(driver, scenario)[0]), "request": bool(seen), "scroll": scrolls(driver),
              "axe": bool(violations(driver)), "name": bool(order_problems(spoken(driver), [])),
              "language": len(english(driver)) > 20}
    driver.execute_script("document.querySelector('main').append(document.getElementById('pump-part'))")
    wanted["order"] = any("is not read after" in one for one in reading_order(driver))
    return [f"a page that is wrong by its {name} passes" for name, ok in wanted.items() if not ok]


def main():
    count = int(sys.argv[3]) if len(sys.argv) > 3 and sys.argv[3].isdigit() else 10
    line = "examples/wagon-line.ini"
    problems = []
    with tempfile.TemporaryDirectory() as work:
        pages = {one: str(pathlib.Path(work) / (pathlib.Path(one).stem + ".html")) for one in EXAMPLES}
        for scenario, page in pages.items():
            run("guide", scenario, "--output", page)
        largest = max(pathlib.Path(page).stat().st_size for page in pages.values())
        if largest > LARGEST:
            problems.append(f"a page has {largest} bytes")
        jobs = [(name, lambda driver, check=check, rest=rest: check(driver, pages[line], *rest))
                for name, check, rest in (
                    ("refusals", check_refusals, [line]), ("link", check_link, [line]),
                    ("hostile link", check_hostile_link, []), ("keyboard", check_keyboard, [line]),
                    ("broken", check_broken, [work]), ("alone", check_alone, [line, work]), ("twin", twin, [line, work]))]
        jobs += [(one, lambda driver, one=one: check_example(driver, pages[one], one)) for one in EXAMPLES]
        jobs += [(f"invented {one}", lambda driver, one=one, sets=sets: check_invented(driver, pages[one], one, sets))
                 for one, sets in all_invented(count).items()]
        jobs += [(f"{one} in German", lambda driver, one=one: check_language(driver, work, one))
                 for one in (line, "examples/van-two-fills.ini")]
        jobs += [("hostile scenario", lambda driver: check_hostile_scenario(driver, work))]
        shared_out(jobs, problems)
        driver = offline()
        try:
            seen = times(driver, pages[line])
        finally:
            driver.quit()
        if seen["first"] > FIRST_MS:
            problems.append(f"the first answer takes {seen['first']:.0f} ms")
    for one in problems:
        print(one)
    told = ", ".join(f"{name} {ms:.0f} ms" for name, ms in seen.items())
    print(f"slowed six-fold: {told}; largest page {largest} bytes")
    print(f"{len(pages)} examples and {count} invented scenarios, {len(problems)} problems")
    return 1 if problems else 0


sys.exit(main())
