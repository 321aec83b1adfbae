"""Holds the texts of pictures against their frames and each other, as a browser lays them out.

usage: picture_text.py FILE...   (SVG, PDF and PNG files, and HTML files with SVG pictures in them)

Every text of an SVG has to lie within its picture, and no two on each other; so do the words of a
PDF, and nothing of a PNG reaches its edge. SVG pictures that break this are looked at as well: the
same check must see each.
"""
import base64
import pathlib
import re
import subprocess
import sys
import tempfile

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service

BOXES = """
const frame = document.documentElement.getBoundingClientRect();
const view = document.documentElement.viewBox.baseVal;
const scale = view && view.width ? view.width / frame.width : 1;
return [view.width, view.height, [...document.querySelectorAll('text')].map(text => {
  const box = text.getBoundingClientRect();
  return [text.textContent.trim(), ...[box.left - frame.left, box.top - frame.top,
          box.right - frame.left, box.bottom - frame.top].map(value => value * scale)];
}).filter(box => box[0])];
"""
EDGE = """
const [data, done] = arguments;
const image = new Image();
image.onload = () => {
  const canvas = document.createElement('canvas');
  [canvas.width, canvas.height] = [image.width, image.height];
  const context = canvas.getContext('2d');
  context.drawImage(image, 0, 0);
  const rim = 6;
  const inked = [[0, 0, image.width, rim], [0, image.height - rim, image.width, rim],
                 [0, 0, rim, image.height], [image.width - rim, 0, rim, image.height]]
    .filter(part => context.getImageData(...part).data.some(value => value < 250));
  done(inked.length);
};
image.onerror = () => done(4);
image.src = 'data:image/png;base64,' + data;
"""
# Pixels by which boxes may touch: they hold the room above and below the letters, too.
TOUCH = 1.5

BROKEN = {
    "beyond": "<text x='70' y='20'>beyond the frame</text>",
    "on another": "<text x='5' y='20'>one text</text><text x='9' y='24'>another</text>",
}


def browser():
    options = Options()
    for flag in ("--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"):
        options.add_argument(flag)
    options.binary_location = "/usr/bin/chromium"
    return webdriver.Chrome(service=Service("/usr/bin/chromedriver"), options=options)


def misplaced(width, height, boxes):
    """What is wrong with texts and their boxes: left, top, right, bottom."""
    found = [] if boxes else ["has no text"]
    for i, (text, left, top, right, bottom) in enumerate(boxes):
        if left < 0 or top < 0 or right > width or bottom > height:
            found.append(f"{text!r} lies outside the frame")
        if text.endswith("..."):
            found.append(f"{text!r} is cut")
        for other, o_left, o_top, o_right, o_bottom in boxes[:i]:
            if (min(right, o_right) - max(left, o_left) > TOUCH
                    and min(bottom, o_bottom) - max(top, o_top) > TOUCH):
                found.append(f"{text!r} lies on {other!r}")
    return found


def in_pdf(path):
    text = subprocess.run(["pdftotext", "-bbox", path, "-"], capture_output=True, text=True,
                          check=True).stdout
    size = re.search(r'<page width="([\d.]+)" height="([\d.]+)"', text)
    number = r'="(-?[\d.]+)" '
    words = re.findall(f"<word xMin{number}yMin{number}xMax{number}yMax=\"(-?[\\d.]+)\">(.*?)</word>",
                       text)
    return misplaced(*map(float, size.groups()),
                     [(word, *map(float, box)) for *box, word in words])


def wrong(driver, path):
    """What is wrong with the texts of a picture."""
    path = pathlib.Path(path)
    if path.suffix == ".pdf":
        return in_pdf(path)
    if path.suffix == ".png":
        driver.get("about:blank")
        data = base64.b64encode(path.read_bytes()).decode()
        return ["reaches its edge"] if driver.execute_async_script(EDGE, data) else []
    driver.get(path.absolute().as_uri())
    return misplaced(*driver.execute_script(BOXES))


def pictures(files, directory):
    """The SVG files, those in pages written out."""
    for file in files:
        if not file.endswith(".html"):
            yield file, file
            continue
        page = pathlib.Path(file).read_text(encoding="utf-8")
        for i, data in enumerate(re.findall(r"data:image/svg\+xml;base64,([^\"]*)", page)):
            out = pathlib.Path(directory) / f"{pathlib.Path(file).stem}-{i}.svg"
            out.write_bytes(base64.b64decode(data))
            yield f"{file} picture {i}", str(out)


def main():
    bad = count = 0
    driver = browser()
    try:
        with tempfile.TemporaryDirectory() as directory:
            for name, body in BROKEN.items():
                path = pathlib.Path(directory) / "broken.svg"
                path.write_text("<svg xmlns='http://www.w3.org/2000/svg' width='100' height='50' "
                                f"viewBox='0 0 100 50' font-size='14'>{body}</svg>")
                if not wrong(driver, path):
                    bad += 1
                    print(f"a text {name} is not found")
            for name, path in pictures(sys.argv[1:], directory):
                count += 1
                for what in wrong(driver, path):
                    bad += 1
                    print(f"{name}: {what}")
    finally:
        driver.quit()
    print(f"{count} pictures, {bad} wrong")
    return 1 if bad or not count else 0


if __name__ == "__main__":
    sys.exit(main())
