"""Names and texts that try things, through every command, picture and page.

usage: hostile.py PROGRAM   (run in the project's directory)

Scenario files, data files, columns, groups, titles, comments, axes and outputs are named with quotes,
back quotes, shell and gnuplot commands, markup, terminal sequences, bytes that are no text and very
long names. Nothing may be run (a canary file tells), SVG and HTML have the very elements that they
have for plain names, JSON parses, and what is printed holds no control character. Without gnuplot the
pictures and pages are left out.
"""
import base64
import html.parser
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree

PROGRAM = os.path.abspath(sys.argv[1])
READINGS = pathlib.Path("examples/invented-readings.csv").read_bytes()
DRAWS = shutil.which("gnuplot") is not None
if not DRAWS and os.environ.get("CI"):
    sys.exit("gnuplot is not installed")

# No slash, so that each can be a file's name.
NAMES = [name.encode() if isinstance(name, str) else name for name in (
    "plain",
    "a 'b' \"c\" d",
    "`touch canary`",
    "$(touch canary)",
    "\"; system \"touch canary\"; x = \"",
    "'; system('touch canary'); x = '",
    "x\"\nsystem \"touch canary\"\n",
    "x'\n!touch canary\n",
    "|touch canary",
    "@canary ${canary} $canary %s %n %d",
    "back\\slash \\\" \\' \\n \\140touch canary\\140",
    "# END_OF_DATA\nEND_OF_DATA\nsystem 'touch canary'",
    "<script>alert(1)<!-- -->",
    "]]><svg onload='x'>&#60;b&amp;",
    "\" onload=\"alert(1)\" x=\"",
    "{=40 x} ^2 _3 @{a} ~a{b} &{c} {Bold x}",
    "\x1b[31mred\x1b[0m \x1b]0;title\x07 \x9b2J \x85 \u202eback\u202c \u200b",
    b"\xff\xfe\x80 no \xc3( text \xc2\x9b2J",
    "-dash", "--json", "-", "~", "*",
    "long " + "w" * 180,
)]
CONTROL = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f]")
bad = []


def complain(*what):
    bad.append(what)
    print("hostile:", *(repr(one)[:300] for one in what))


def printable(where, data):
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        return complain(*where, "not UTF-8", data)
    found = CONTROL.search(text)
    if found:
        complain(*where, "control character", text[max(0, found.start() - 60):found.end() + 20])


def run(where, *words, stdin=b"", fails=None):
    """What a command printed; fails: whether it must, None where it may."""
    as_json = "--json" in words  # bytes are names
    words = [PROGRAM.encode()] + [w.encode() if isinstance(w, str) else w for w in words]
    done = subprocess.run(words, input=stdin, capture_output=True, timeout=120)
    where = (*where, b" ".join(words[1:]))
    printable(where, done.stdout)
    printable(where, done.stderr)
    if done.returncode not in ((0,) if fails is False else (1, 2) if fails else (0, 1, 2)):
        complain(*where, "status", done.returncode, done.stderr)
    if done.returncode in (1, 2):
        if done.stdout or done.stderr.count(b"\n") != 1:
            complain(*where, "is not one line", done.stdout, done.stderr)
    elif as_json:
        try:
            json.loads(done.stdout)
        except ValueError:
            complain(*where, "no JSON", done.stdout)
    return done


def argument(name):
    """As much of a name as fits in a scenario or on an axis: one line of text."""
    text = CONTROL.sub("", name.decode("utf-8", "replace")).replace("\n", " ")
    return text.replace(";", ",").replace(":", "-")


class Tags(html.parser.HTMLParser):
    """The elements of a page with the names of their attributes, and its pictures."""

    def __init__(self, text):
        super().__init__()
        self.elements, self.pictures, self.command = [], [], None
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, tuple(name for name, _ in attrs)))
        for name, value in attrs:
            if name == "src" and value.startswith("data:image/svg+xml;base64,"):
                self.pictures.append(base64.b64decode(value.split(",", 1)[1]))

    def handle_data(self, data):
        # The first preformatted text is the command that makes the page again.
        if self.command is None and self.elements and self.elements[-1][0] == "pre":
            self.command = data

    def handle_comment(self, data):
        self.elements.append(("comment", ()))


def svg_elements(where, data):
    try:
        root = ElementTree.fromstring(data)
    except ElementTree.ParseError as error:
        complain(*where, "no SVG", error)
        return []
    printable(where, data.replace(b"\t", b" ").replace(b"\r", b""))
    sizes = {e.get("font-size") for e in root.iter()}
    return [sorted({e.tag.split("}")[1] for e in root.iter()}), sorted(sizes, key=str)]


def same_as_plain(what, where, elements, plain={}):
    """The first that comes is that of the plain names."""
    if elements != plain.setdefault(what, elements):
        complain(*where, what, "has other elements", elements, plain[what])


def picture(where, what, file):
    data = open(file, "rb").read()
    os.unlink(file)
    if file.endswith(b".svg"):
        return same_as_plain(what, where, svg_elements(where, data))
    ends = data.startswith(b"\x89PNG") and data.endswith(b"IEND\xaeB`\x82") or (
        data.startswith(b"%PDF") and data.rstrip().endswith(b"%%EOF"))
    if not ends:
        complain(*where, what, "is no whole picture")
    return None


def page(where, what, file, name):
    data = open(file, "rb").read()
    os.unlink(file)
    printable((*where, what), data)
    tags = Tags(data.decode("utf-8", "replace"))
    same_as_plain(what, where, tags.elements)
    # Pasted into a shell it is one command with the name as one word.
    shell = "blendrisk() { printf '%s\\0' \"$@\"; }\n" + (tags.command or "false")
    words = subprocess.run(["sh", "-c", shell], capture_output=True).stdout.split(b"\0")
    exact = re.fullmatch("[^\\\\\x00-\x1f\x7f-\x9f]*", name.decode("utf-8", "replace"))
    if len(words) != 7 or exact and b"\xff" not in name and words[1] not in (name, b"./" + name):
        complain(*where, what, "its command is another", tags.command, words)
    for number, svg in enumerate(tags.pictures):
        same_as_plain(f"{what} {number}", where, svg_elements(where, svg))


def scenario(title, content="uniform(70 %, 82 %)", comment="invented"):
    return f"""# Invented car
{"title = " + title if title else ""}
[tank]
capacity = 50 L
[heel]
indicated = 4 L # {comment}
gauge-error = normal(0 L, 1 L)
content = 8 %
[fuel]
content = {content}
[line]
filter = 0.2 L
[engine]
idle = 1 L/h
[limits]
minimum = 60 %
"""


def commands(where, what, file, formats):
    """Every command on one scenario file."""
    for command in ("chance", "fill", "heel", "arrive"):
        run(where, command, file, *(("--cases", "128") if command in ("chance", "arrive") else ()))
    run(where, "chance", file, "--json", "--cases", "128", fails=False)
    run(where, "arrive", file, "--json", fails=False)
    run(where, "drivers", file, "--json", "--cases", "1024")
    run(where, "update", file, "--readings", "-", stdin=b"0.1 L: 20 %\n\x1b[2J\n0.2 L: 40 %\n")
    run(where, "table", file, "--rows", "heel.indicated=2:4:1L", "--columns", "fuel.content=74 %; 78 %")
    run(where, "curve", file, "--along", "heel.indicated=2:4:1L", "--json")
    if not DRAWS:
        return
    for format in formats:
        for command in ("chance", "arrive", "drivers", "curve"):
            out = b"out." + format
            along = ("--along", "heel.indicated=2:6:1L") if command == "curve" else ()
            cases = ("--cases", "1024" if command == "drivers" else "128")
            if run(where, command, file, *along, *cases, "--output", out, fails=False).returncode == 0:
                picture(where, f"{what} {command}", out)
    if run(where, "guide", file, "--cases", "128", "--static", "--output", "out.html", fails=False).returncode == 0:
        page(where, what + " guide", b"out.html", file.removeprefix(b"./"))


def titles(name):
    where = ("title", name)
    pathlib.Path("car.ini").write_text(scenario(argument(name).replace("#", ""), comment=argument(name)))
    commands(where, "title", b"car.ini", (b"svg", b"png", b"pdf") if b"{" in name else (b"svg",))
    pathlib.Path("car.ini").write_bytes(scenario("x").encode().replace(b"= x", b"= " + name))
    run(where, "chance", b"car.ini", "--cases", "128")


def file_names(name):
    where = ("file", name)
    file = name + b".ini"
    with open(b"./" + file, "w") as out:
        out.write(scenario(""))
    commands(where, "file", b"./" + file, (b"svg",))
    run(where, "chance", file)
    run(where, "chance", file + b"x", fails=True)
    run(where, "table", b"./" + file, "--rows", "heel.indicated=2:4:1L", "--columns",
        "fuel.content=74 %; 78 %", "--part", "1/1", "--output", "part.csv", fails=False)
    printable(where, open("part.csv", "rb").read())
    run(where, "table", "--join", "part.csv", fails=False)
    os.rename("part.csv", b"./" + name + b".csv")
    run(where, "table", "--join", b"./" + name + b".csv", fails=False)
    for ending in (b".svg", b".png") if DRAWS else (b".csv",):
        out = b"./" + name + b" out" + ending
        along = ("--along", "heel.indicated=2:4:1L", "--cases", "128")
        run(where, "curve", b"./" + file, *along, "--output", out, fails=False)
        if not os.path.exists(out):
            complain(*where, "no output of that name")
            continue
        os.unlink(out)
        run(where, "curve", b"./" + file, *along, "--output", b"none/" + out, fails=True)
    os.unlink(b"./" + name + b".csv")
    os.unlink(b"./" + file)


def shops(name):
    """A shop whose car and pump are called so, and whose pump's file is; and a file that is included by that name."""
    where = ("shop", name)
    title = argument(name).replace("#", "")
    pathlib.Path("car.ini").write_text(scenario(title))
    file = b"./" + name + b" pump.ini"
    with open(file, "w") as out:
        out.write(f"[fuel]\ntitle = {title}\ncontent = uniform(71 %, 81 %)\n")
    shop = ("--cars", "car.ini", "--pumps", file)
    run(where, "table", *shop, fails=False)
    run(where, "table", *shop, "--json", fails=False)
    run(where, "table", *shop, "--output", "shop.csv", fails=False)
    printable(where, open("shop.csv", "rb").read())
    os.unlink("shop.csv")
    if DRAWS:
        run(where, "table", *shop, "--output", "shop.svg", fails=False)
        picture(where, "shop", b"shop.svg")
    year = ("policy", *shop, "--changes", "2")
    run(where, *year, fails=False)
    run(where, *year, "--json", fails=False)
    run(where, *year, "--output", "wall.csv", fails=False)
    printable(where, open("wall.csv", "rb").read())
    os.unlink("wall.csv")
    pathlib.Path("changes.csv").write_text(f"car,pump,changes\n\"{title}\",none,2\n")
    run(where, *year[:-1], "changes.csv", fails=True)
    os.unlink("changes.csv")
    run(where, "guide", *shop, "--cases", "128", "--static", "--output", "guides", fails=False)
    index = open("guides/index.html", "rb").read()
    printable((*where, "index"), index)
    same_as_plain("shop index", where, Tags(index.decode()).elements)
    plain = re.compile(r"(index|[A-Za-z0-9_-]+)\.html")
    if len(os.listdir("guides")) != 2 or not all(plain.fullmatch(one) for one in os.listdir("guides")):
        complain(*where, "names of pages", os.listdir("guides"))
    shutil.rmtree("guides")
    with open("over.ini", "wb") as out:
        out.write(b"include = " + name + b" pump.ini\ninclude = car.ini\n")
    run(where, "chance", "over.ini", "--cases", "128")
    os.unlink("over.ini")
    os.unlink(file)
    run(where, "table", *shop, fails=True)


def columns(name):
    where = ("column", name)
    heading = argument(name).replace('"', "'").replace("#", "").strip()
    data = "a" + heading + ".csv"
    with open(data, "w") as out:
        out.write(f'"{heading}",content_percent,"b{heading}"\n70 %,71,x\n75 %,77,"{heading}"\n79 %,78,"{heading}"\n')
    law = f'measured("{data}", "{heading}")'
    with open("car.ini", "w") as out:
        out.write(scenario("car", content=law))
    commands(where, "column", b"car.ini", (b"svg",))
    run(where, "learn", "--log", data, "--group", "b" + heading)
    run(where, "learn", "--log", data, "--group", "b" + heading, "--json")
    run(where, "learn", "--log", data, "--group", name)
    run(where, "learn", "--changeover", data, "car.ini", fails=True)
    run(where, "update", "car.ini", "--readings", data, fails=True)
    if DRAWS:
        by = f"fuel.content=74 %; {law}"
        run(where, "curve", "car.ini", "--along", "heel.indicated=2:6:1L", "--cases", "128", "--by", by,
            "--output", "out.svg", fails=False)
        if os.path.exists("out.svg"):
            picture(where, "by column", b"out.svg")
        run(where, "curve", "car.ini", "--along", "heel.indicated=2:6:1L", "--cases", "128", "--by", b"title=a; " + name,
            "--output", "out.svg")
        if os.path.exists("out.svg"):
            picture(where, "by title", b"out.svg")
    os.unlink(data)
    for text in (name, name + b"\n70\n", b"content_percent\n" + name, b"content_percent,x\n70," + name):
        with open("raw.csv", "wb") as out:
            out.write(text)
        run(where, "learn", "--log", "raw.csv", fails=None if b"70," in text else True)


def arguments(name):
    where = ("argument", name)
    with open("car.ini", "w") as out:
        out.write(scenario("car"))
    for words in ((name,), ("help", name), ("chance", name), ("chance", "car.ini", name),
                  ("chance", "car.ini", b"--" + name), ("chance", "car.ini", "--seed", name),
                  ("chance", "car.ini", "--fuel.content", name), ("chance", "car.ini", "--output", name),
                  ("update", "car.ini", "--reading", name),
                  ("table", "car.ini", "--rows", name, "--columns", name),
                  ("table", "car.ini", "--rows", b"heel.indicated=1 L;" + name, "--columns", "tank.capacity=60 L"),
                  ("curve", "car.ini", "--along", b"heel.indicated=1 L;" + name)):
        run(where, *words)
    run(where, "chance", "car.ini", "--title", name)


def main():
    with tempfile.TemporaryDirectory() as directory:
        os.chdir(directory)
        os.environ["SOURCE_DATE_EPOCH"] = "0"
        for name in NAMES:
            for check in (titles, file_names, shops, columns, arguments):
                check(name)
            left = set(os.listdir(b".")) - {b"car.ini", b"raw.csv"}
            if left:
                complain(name, "left or made", left)
                return
        # The checks see what they are for.
        seen = len(bad)
        print("three complaints are to follow:")
        printable(("twin",), b"a\x1b[2J")
        printable(("twin",), b"a\xc2\x9b")
        same_as_plain("title guide", ("twin",), Tags("<script>").elements)
        if len(bad) != seen + (3 if DRAWS else 2):
            sys.exit("a check sees nothing")
        del bad[seen:]
    print(f"{len(NAMES)} names,", "with pictures and pages" if DRAWS else "without pictures", len(bad), "wrong")
    sys.exit(1 if bad else 0)


main()
