"""Opens guides in headless Chromium and holds them against what they promise.

usage: check.py PROGRAM AXE_JS   (run in the project's directory)

Checked for every example, three pages in German, one scenario of hostile texts, and a shop's guides with their index, whose links the keyboard comes to: no console message, no request
beyond the page itself, no horizontal scroll at 360 px, headings and tables as a screen reader needs
them (axe-core, no violations), every number equal to the JSON of the command it comes from, and a
print on A4 and Letter of whole pages on which no table row is cut. A page with a script, a request
and a cut row is made as well: the same checks must see each.
"""
import pathlib
import re
import sys
import tempfile

from selenium.webdriver.common.keys import Keys

from browser import EXAMPLES, HOSTILE, PAPERS, answer, browser, open_page, printed, quiet, run, scrolls, violations


FLEET = sorted(str(p) for p in pathlib.Path("examples/fleet/cars").glob("*.ini"))


def scripts(driver):
    return ["has a script"] * driver.execute_script("return document.scripts.length")


def rows(driver):
    """Those that are printed."""
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    found = driver.execute_script(
        "return [...document.querySelectorAll('tbody tr')].filter(r => r.checkVisibility()).map(r => "
        "[...r.cells].map(c => c.textContent))")
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    return found


def cut_rows(driver, paper):
    """Rows of tables whose first and last cells are not on one page of the print."""
    pages = printed(driver, paper)
    if not pages:
        return ["the print has no pages"]
    cut = []
    for cells in rows(driver):
        whole = re.sub(r"\s+", "", "".join(cells))
        if not any(whole in page for page in pages):
            cut.append(f"on {paper} the row {cells[0]!r} is cut")
    return cut


def at(value, path):
    for key in path:
        value = value[int(key)] if isinstance(value, list) else value.get(key, {})
    return value


def numbers(driver, scenario):
    """Numbers of the page that differ from the JSON of their command."""
    found = driver.execute_script(
        "return [...document.querySelectorAll('data.n')].map(d => [d.dataset.source, d.value])")
    wrong, answers, cells = [], {}, {}
    for source, value in found:
        command, *path = source.split("/")
        if command == "table":
            cells[(float(path[1]), float(path[2]), path[3])] = float(value)
            continue
        if command not in answers:
            answers[command] = answer(command, scenario)
        wanted = at(answers[command], path)
        if float(value) != wanted:
            wrong.append(f"{source} is {value} on the page, {wanted} in JSON")
    if cells:
        readings = sorted({reading for reading, _, _ in cells})
        contents = sorted({content for _, content, _ in cells})
        table = answer("table", scenario,
                       "--rows", "heel.indicated=" + "; ".join(f"{r!r} L" for r in readings),
                       "--columns", "fuel.content=" + "; ".join(f"exact({100 * c:.10g} %)" for c in contents))
        for i, reading in enumerate(readings):
            for j, content in enumerate(contents):
                # Both ends where a limit binds at both, neither more nor less of them.
                for member in ("safe_amount", "largest_amount"):
                    value = cells.get((reading, content, member))
                    wanted = (table["cells"][i][j] or {}).get(member)
                    if value != wanted:
                        wrong.append(f"{reading} L, {content}, {member}: {value} on the page, {wanted} in JSON")
    if len(found) < 5:
        wrong.append("the page has hardly any numbers")
    return wrong


def check(driver, page, scenario):
    wrong = []
    open_page(driver, page, 360)
    wrong += quiet(driver, page) + scripts(driver)
    if scrolls(driver):
        wrong.append("scrolls sideways at 360 px")
    wrong += violations(driver)
    for paper in PAPERS:
        wrong += cut_rows(driver, paper)
    if scenario:
        wrong += numbers(driver, scenario)
    return wrong


def twin(driver, page, work):
    """What is wrong with a page must be seen."""
    text = pathlib.Path(page).read_text(encoding="utf-8")
    bad = text.replace("</main>", "<script>console.error('x')</script><img src='http://127.0.0.1:9/x'>"
                       "<div style='width:900px'>x</div></main>")
    bad = re.sub(r'value="([0-9.]+)"', r'value="9\1"', bad, count=1)
    path = pathlib.Path(work) / "twin.html"
    path.write_text(bad, encoding="utf-8")
    open_page(driver, path, 360)
    seen = quiet(driver, path) + scripts(driver)
    wanted = {"console": any("x" in one for one in seen), "script": "has a script" in seen,
              "request": any("127.0.0.1:9" in one for one in seen), "scroll": scrolls(driver),
              "axe": bool(violations(driver)), "number": bool(numbers(driver, EXAMPLES[-1]))}
    return [f"a page that is wrong by its {name} passes" for name, ok in wanted.items() if not ok]


def index(driver, work):
    """What is wrong with the index of a shop's guides, and with one of them; and that it would be seen."""
    folder = pathlib.Path(work) / "guides"
    run("guide", "--cars", *FLEET, "--pumps", "examples/fleet/pumps/*-winter.ini", "--static", "--output", str(folder))
    page = folder / "index.html"
    wrong = check(driver, page, None) + links(driver, page)
    wrong += check(driver, folder / "van-north-winter.html", None)
    (folder / "van-north-winter.html").unlink()
    bad = page.read_text(encoding="utf-8").replace("<a href", "<a tabindex=-1 href", 1)
    page.write_text(bad, encoding="utf-8")
    open_page(driver, page, 360)
    if len(links(driver, page)) != 2:
        wrong.append("a link that leads nowhere, or out of the keyboard's reach, passes")
    return wrong


def links(driver, page):
    """Links that lead to no file, and those that the Tab key does not come to."""
    driver.execute_script("document.body.focus()")
    names = driver.execute_script("return [...document.links].map(a => a.getAttribute('href'))")
    wrong = [f"the link {name} leads nowhere" for name in names if not (page.parent / name).is_file()]
    reached = set()
    for _ in range(len(names) + 5):
        driver.switch_to.active_element.send_keys(Keys.TAB)
        reached.add(driver.execute_script("return document.activeElement.getAttribute('href')"))
    wrong += [f"the keyboard does not come to {name}" for name in names if name not in reached]
    if len(names) != 18:
        wrong.append(f"{len(names)} links for six cars and three pumps")
    return wrong


def main():
    failures = 0
    driver = browser()
    try:
        with tempfile.TemporaryDirectory() as work:
            hostile = pathlib.Path(work) / "hostile.ini"
            hostile.write_text(HOSTILE, encoding="utf-8")
            pages = {}
            for scenario in [*EXAMPLES, str(hostile)]:
                page = str(pathlib.Path(work) / (pathlib.Path(scenario).stem + ".html"))
                run("guide", scenario, "--static", "--output", page)
                pages[scenario] = page
                for problem in check(driver, page, scenario):
                    print(f"{scenario}: {problem}")
                    failures += 1
            us = str(pathlib.Path(work) / "us.html")
            run("guide", EXAMPLES[-1], "--units", "us", "--static", "--output", us)
            for problem in check(driver, us, None):
                print(f"{EXAMPLES[-1]} in gallons: {problem}")
                failures += 1
            german = str(pathlib.Path(work) / "german.html")
            for scenario in (EXAMPLES[-2], "examples/van-two-fills.ini", str(hostile)):
                run("guide", scenario, "--language", "german", "--static", "--output", german)
                for problem in check(driver, german, scenario):
                    print(f"{scenario} in German: {problem}")
                    failures += 1
                if driver.execute_script("return document.documentElement.lang") != "de":
                    print(f"{scenario} in German: does not say so")
                    failures += 1
            for problem in twin(driver, pages[EXAMPLES[-1]], work):
                print(problem)
                failures += 1
            for problem in index(driver, work):
                print(f"a shop's guides: {problem}")
                failures += 1
            print(f"{len(pages) + 6} pages checked, {failures} problems")
    finally:
        driver.quit()
    return 1 if failures else 0


sys.exit(main())
