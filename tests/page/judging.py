"""What is wrong with a page that computes as it stands in the browser: numbers, words, colours, print
and the order in which it is read."""
import re

from selenium.webdriver.common.by import By

from browser import PAPERS, printed, violations
from driving import natively
from tree import order_problems, spoken, text_of


def at(value, path):
    for key in path:
        value = value[int(key)] if isinstance(value, list) else (value or {}).get(key)
    return value


def numbers(driver, scenario, changes=(), readings=(), known=None):
    """Numbers of the first parts that differ from the JSON of their command, and how many are right."""
    found = driver.execute_script(
        "return [...document.querySelectorAll('.live data.n')].map(d => [d.dataset.source, d.value])")
    wrong, right, answers = [], 0, dict(known or {})
    for source, value in found:
        command, *path = source.split("/")
        if command not in answers:
            answers[command] = natively(command, scenario, changes, readings if command == "update" else ())
        if isinstance(answers[command], str):
            wrong.append(f"{source} is on the page, and the program says {answers[command]}")
            continue
        wanted = at(answers[command], path)
        if wanted is None or abs(float(value) - wanted) > max(1e-9 * abs(wanted), 1e-300):
            wrong.append(f"{source} is {value} on the page, {wanted} in JSON")
        else:
            right += 1
    return wrong, right


def errors(driver):
    return driver.execute_script(
        "return [...document.querySelectorAll('.live .error')].map(e => e.textContent).filter(t => t)")


def stored(driver):
    return ["stores something"] * driver.execute_script(
        "return document.cookie.length + (() => { try { return localStorage.length + sessionStorage.length }"
        " catch (e) { return 0 } })()")


def colours(driver):
    """Violations in light, dark and forced colours."""
    wrong = []
    for features in ([], [{"name": "prefers-color-scheme", "value": "dark"}],
                     [{"name": "forced-colors", "value": "active"}]):
        driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": features})
        wrong += [f"{features}: {one}" for one in violations(driver)]
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
    return wrong


def print_problems(driver):
    wrong = []
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    rows = driver.execute_script(
        "return [...document.querySelectorAll('tbody tr, li, #guide p')].filter(r => r.checkVisibility())"
        ".map(r => r.innerText)")
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    for paper in PAPERS:
        pages = printed(driver, paper)
        if len(pages) != 2:
            wrong.append(f"{len(pages)} pages on {paper}")
        whole = "".join(pages)
        for row in rows:
            text = re.sub(r"\s+", "", row)
            if text not in whole:
                wrong.append(f"on {paper} {row[:40]!r} is missing")
    return wrong


def reading_order(driver):
    """What a screen reader comes to one after another: a field before what follows from it, the step
    before its reasons, the pump before the road and that before the workshop."""
    shown, done, line, several = driver.execute_script("""
        const label = (part) => document.querySelector(`${part} label`).textContent;
        return [label('#pump-part'), label('#pump-part h3 ~ .field'), !document.getElementById('road-part').hidden,
                document.getElementById('legs').childElementCount > 0]""")
    order = [("heading", driver.execute_script("return document.querySelector('h1').textContent.trim()")),
             ("heading", "At the pump"), ("textbox", shown)]
    order += [("StaticText", "Before the last fill")] * several
    plan = driver.execute_script("return document.getElementById('plan').innerText.trim()")
    order += [("StaticText", plan[:6]), ("StaticText", "Filled as planned")] if plan else \
        [("StaticText", "The fill is done")]
    order += [("heading", "After the fill"), ("textbox", done)]
    if line:
        order += [("heading", "On the road"), ("StaticText", "NOT YET"), ("textbox", "burned since the fill"),
                  ("textbox", "the sensor shows"), ("button", "Add the reading")]
        order += [("table", "")] * driver.execute_script("return document.querySelectorAll('#waiting table').length")
    order += [("heading", driver.execute_script("return document.querySelector('#guide h2').textContent.trim()")),
              ("heading", "The workshop"), ("button", "Show it as a scenario"),
              ("heading", driver.execute_script("return document.getElementById('again').textContent.trim()"))]
    told = spoken(driver)
    wrong = order_problems(told, order)
    return wrong + [text_of(told)] * bool(wrong)


SMALL = re.compile(r"(?<![\w.-])(?:the|The|of|and|with|which|that|from|by|are|is|not)(?![\w.-])")


def english(driver):
    """Small words of English on the page, but for what the scenario's author wrote and lines that refuse."""
    text = driver.execute_script(
        "const page = document.body.cloneNode(true);"
        "page.querySelectorAll('script, h1, [lang=en], #copy, [aria-labelledby=again] pre, table.assumed td:last-child')"
        ".forEach(one => one.remove());"
        "const alts = [...page.querySelectorAll('img')].map(one => one.alt);"
        "const hints = [...page.querySelectorAll('[placeholder]')].map(one => one.placeholder);"
        "return [page.textContent, ...alts, ...hints].join('\\n');")
    title = driver.find_element(By.TAG_NAME, "h1").text
    return [text[max(found.start() - 30, 0):found.end() + 30]
            for found in SMALL.finditer(re.sub(r"\s+", " ", text).replace(title, ""))]
