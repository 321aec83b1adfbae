"""A page as a screen reader has it: names and roles in the order in which they are read."""

# What stands for itself; what holds others is told by them.
TOLD = {"heading", "StaticText", "textbox", "combobox", "button", "image", "table", "columnheader", "rowheader",
        "cell", "alert", "link", "DisclosureTriangle"}


def spoken(driver):
    """(role, name) of all that is read, in order; text within what is named by it is not told again."""
    nodes = driver.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    by_id = {node["nodeId"]: node for node in nodes}
    told = []

    def walk(node, named):
        role = node.get("role", {}).get("value", "")
        name = " ".join(node.get("name", {}).get("value", "").split())
        if not node.get("ignored") and role in TOLD and not (role == "StaticText" and (named or not name)):
            told.append((role, name))
            named = named or role in ("heading", "button", "link", "columnheader", "rowheader", "cell")
        for child in node.get("childIds", []):
            if child in by_id:
                walk(by_id[child], named)

    walk(nodes[0], False)
    return told


def text_of(told):
    """The tree as lines."""
    return "\n".join(f"{role}: {name}" for role, name in told)


def order_problems(told, expected):
    """What of `expected`, beginnings of (role, name), does not follow one another in that order, and
    what is read without a name."""
    wrong = [f"a {role} has no name" for role, name in told
             if role in ("textbox", "combobox", "button", "image", "link", "heading") and not name]
    at = 0
    for role, begin in expected:
        found = next((i for i in range(at, len(told)) if told[i][0] == role and told[i][1].startswith(begin)), None)
        if found is None:
            return wrong + [f"{role} {begin!r} is not read after what goes before it"]
        at = found + 1
    return wrong
