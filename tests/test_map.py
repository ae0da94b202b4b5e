"""The map of the house: every import goes down, none goes round, and DEVELOPERS.md shows it as it is.

`python tests/test_map.py` writes the map into DEVELOPERS.md anew.
"""

import ast
import textwrap
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parent.parent
# Ground floor first; a module that stands in none of them is a floor of its own room and comes where it is listed.
FLOORS = (
    "geometries.arrays", "geometries.fixed", "geometries.errors", "geometries.ordinary_file", "geometries.plane",
    "geometries.meshing", "geometries.drawings",
    "solver.metals", "solver.elements", "solver.field", "solver.band", "solver.time", "solver.heat", "solver.water",
    "solver.meter",
    "postprocess.answers", "postprocess.topics", "postprocess.pictures", "postprocess.report", "postprocess.files",
    "postprocess.workshop",
    "extras", "meter_files", "casefile", "solved", "topics", "", "studies", "page", "command", "__main__",
)  # fmt: skip
ROOMS = ("geometries", "solver", "postprocess")  # what opens a room is no module of its own
BEGIN, END = "<!-- map: made by tests/test_map.py -->", "<!-- end of map -->"


def sources():
    """Every module of the house: its name without "crosscurrent." and its file, links not followed."""
    for room in (*ROOMS, "crosscurrent"):
        for path in sorted((ROOT / room).rglob("*.py")):
            parts = path.relative_to(ROOT).with_suffix("").parts
            if parts[0] == "crosscurrent":
                parts = parts[1:]
                if parts[0] in ("geometries", "solver", "postprocess", "cases"):
                    continue
            yield ".".join(parts[:-1] if parts[-1] == "__init__" else parts), path


MODULES = dict(sources())


@cache
def tree_of(name):
    """A module's syntax tree, of which those who only collect need none."""
    return ast.parse(MODULES[name].read_text(encoding="utf-8"))


def statements(tree):
    """Every import statement, also those inside functions and behind TYPE_CHECKING."""
    for node in ast.walk(tree):
        if isinstance(node, (ast.Import, ast.ImportFrom)):
            yield node


def targets(name, node):
    """Modules of the house that one statement imports."""
    if isinstance(node, ast.Import):
        found = [alias.name for alias in node.names if alias.name.split(".")[0] == "crosscurrent"]
        return {found_name.removeprefix("crosscurrent").removeprefix(".") for found_name in found}
    package = name if MODULES[name].name == "__init__.py" else name.rpartition(".")[0]
    base = ["crosscurrent", *filter(None, package.split("."))]
    parts = base[: len(base) - node.level + 1] if node.level else []
    parts = [*parts, *(node.module.split(".") if node.module else [])]
    if parts[:1] != ["crosscurrent"]:
        return set()
    inside = ".".join(parts[1:])
    each = {f"{inside}.{alias.name}".removeprefix(".") for alias in node.names}
    return {one if one in MODULES else inside for one in each} - {""}  # what stands in the front door itself


@cache
def arrows(name):
    """Modules that a module imports."""
    found = set().union(*(targets(name, node) for node in statements(tree_of(name))))
    return frozenset(found - {name})


def floor(name):
    """Which floor a module stands on; the front door itself, which offers what all of them have, on the topmost."""
    if not name:
        return FLOORS[-1]
    held = [f for f in FLOORS if name == f or name.startswith(f"{f}.") or not f]
    return max(held, key=len)


def levels(names):
    """Modules of one floor in layers, each importing from those before only; those in a circle are left over."""
    layers, left = [], set(names)
    while left:
        ready = sorted(n for n in left if not arrows(n) & left)
        if not ready:
            break
        layers.append(ready)
        left -= set(ready)
    return layers, left


def wrapped(line, indent):
    return textwrap.wrap(line, 140, subsequent_indent=indent, break_long_words=False, drop_whitespace=True)


def drawn():
    """The map as text: the top floor first, each with the floors it stands on, its modules from the top down."""
    lines = []
    for one in reversed(FLOORS):
        names = [n for n in MODULES if floor(n) == one]
        below = {floor(t) for n in names for t in arrows(n)} - {one}
        listed = " ".join(f for f in FLOORS if f in below) or "nothing"
        lines += wrapped(f"{one or 'the rest of crosscurrent'} <- {listed}", " " * 8)
        for layer in reversed(levels(names)[0]):
            inner = [n.removeprefix(f"{one}.") for n in layer if n not in ("", one, *ROOMS)]
            lines += wrapped(f"    {' '.join(inner)}", " " * 6) if inner else []
    return "\n".join(lines)


def test_imports_go_down_only():
    up = [
        f"{name} imports {target}, which stands above it"
        for name in MODULES
        for target in sorted(arrows(name))
        if FLOORS.index(floor(target)) > FLOORS.index(floor(name))
    ]
    assert not up


def test_imports_between_floors_are_absolute_and_inside_relative():
    wrong = [
        f"{name} line {node.lineno}: {target}"
        for name in MODULES
        for node in statements(tree_of(name))
        if isinstance(node, ast.ImportFrom)
        for target in sorted(targets(name, node))
        if bool(node.level) != (floor(target) == floor(name))
    ]
    assert not wrong


def test_no_circle_on_a_floor():
    circles = {one: sorted(levels([n for n in MODULES if floor(n) == one])[1]) for one in FLOORS}
    assert not {one: names for one, names in circles.items() if names}, "these import each other"


def test_hidden_imports_are_seen():
    text = "if True:\n    from crosscurrent.solver import field\ndef f():\n    import crosscurrent.topics\n"
    assert len(list(statements(ast.parse(text)))) == 2


def test_developers_guide_shows_the_map():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    shown = text.split(BEGIN)[1].split(END)[0].strip().removeprefix("```").removesuffix("```").strip()
    assert shown == drawn(), "the map has changed: python tests/test_map.py writes it anew"


if __name__ == "__main__":
    guide = ROOT / "DEVELOPERS.md"
    before, rest = guide.read_text(encoding="utf-8").split(BEGIN)
    guide.write_text(f"{before}{BEGIN}\n```\n{drawn()}\n```\n{END}{rest.split(END)[1]}", encoding="utf-8")
