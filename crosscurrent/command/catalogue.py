"""The shapes a case file can name: their keys, a sample of each and a small drawing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class Key:
    """A key of a shape: its name, a sample value as it stands in a case file, and what it means."""

    name: str
    sample: str
    meaning: str
    optional: bool = False


@dataclass(frozen=True)
class Entry:
    """A shape: what it is, its keys, the height of the sample [mm] and a drawing of it."""

    summary: str
    height: float
    keys: tuple[Key, ...]
    drawing: str
    of_file: bool = False  # whether it needs a file, which no new case can have


_EDGE = Key("edge_radius", '"0.5 mm"', "of the corners; sharp if left out", optional=True)

_UNIT = Key("unit", '"mm"', "of the file, where it does not say: mm, cm, m, um, in, thou or ft", optional=True)
_SCALE = Key("scale", "1", "a factor on all lengths", optional=True)

COMMON_KEYS = (
    "name", "centre", "turn", "material", "temperature", "plating", "plating_inside", "roughness", "finish",
    "emissivity", "clad", "repeat",
)  # fmt: skip

CATALOGUE: Mapping[str, Entry] = MappingProxyType(
    {
        "bar": Entry(
            "a flat bar",
            6,
            (Key("width", '"40 mm"', "along x"), Key("thickness", '"6 mm"', "along y"), _EDGE),
            """\
╭────────────────╮ ┬
│▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒│ thickness
╰────────────────╯ ┴
├──── width ─────┤""",
        ),
        "round": Entry(
            "a solid round conductor",
            10,
            (Key("diameter", '"10 mm"', "over the metal"),),
            """\
  ╭───────╮
╭─╯▒▒▒▒▒▒▒╰─╮
│▒▒▒▒▒▒▒▒▒▒▒│
╰─╮▒▒▒▒▒▒▒╭─╯
  ╰───────╯
├─diameter──┤""",
        ),
        "tube": Entry(
            "a round tube",
            12,
            (Key("diameter", '"12 mm"', "outside"), Key("wall", '"1 mm"', "thickness of the wall")),
            """\
  ╭───────╮
╭─╯▒╭───╮▒╰─╮
│▒▒▒│   │▒▒▒├ wall
╰─╮▒╰───╯▒╭─╯
  ╰───────╯
├─diameter──┤""",
        ),
        "box": Entry(
            "a rectangular hollow bar",
            20,
            (
                Key("width", '"30 mm"', "outside, along x"),
                Key("thickness", '"20 mm"', "outside, along y"),
                Key("wall", '"2 mm"', "thickness of the wall"),
                Key("edge_radius", '"1 mm"', "of the outer corners; sharp if left out", optional=True),
                Key("inner_radius", '"0.5 mm"', "of the corners of the bore; sharp if left out", optional=True),
            ),
            """\
╭────────────────╮ ┬
│▒┌────────────┐▒│
│▒│            │▒│ thickness
│▒└────────────┘▒│
╰────────────────╯ ┴
├──── width ─────┤""",
        ),
        "angle": Entry(
            "an L, its corner at the lower left",
            30,
            (
                Key("width", '"40 mm"', "of the lying leg, along x"),
                Key("height", '"30 mm"', "of the standing leg, along y"),
                Key("thickness", '"4 mm"', "of both legs"),
                _EDGE,
            ),
            """\
╭──╮              ┬
│▒▒│
│▒▒│              height
│▒▒╰───────────╮
│▒▒▒▒▒▒▒▒▒▒▒▒▒▒│ thickness
╰──────────────╯  ┴
├─── width ────┤""",
        ),
        "channel": Entry(
            "a U, open upward",
            25,
            (
                Key("width", '"40 mm"', "outside, along x"),
                Key("height", '"25 mm"', "outside, along y"),
                Key("thickness", '"4 mm"', "of the web and both legs"),
                _EDGE,
            ),
            """\
╭──╮        ╭──╮  ┬
│▒▒│        │▒▒│
│▒▒╰────────╯▒▒│  height
│▒▒▒▒▒▒▒▒▒▒▒▒▒▒│ thickness
╰──────────────╯  ┴
├─── width ────┤""",
        ),
        "outline": Entry(
            "any closed outline of lines and arcs",
            25,
            (
                Key(
                    "points",
                    '[["-15 mm", "-12.5 mm"], ["15 mm", "-12.5 mm"], ["15 mm", "-2.5 mm"], '
                    '{ arc_to = ["-15 mm", "-2.5 mm"], bulge = 1 }]',
                    "around centre; bulge = tan(angle of the arc / 4)",
                ),
                Key(
                    "holes",
                    '[[["-5 mm", "-7 mm"], ["5 mm", "-7 mm"], ["5 mm", "2 mm"], ["-5 mm", "2 mm"]]]',
                    "a list of outlines inside it",
                    optional=True,
                ),
            ),
            """\
    ╭──────╮    arc_to
 ╭──╯▒▒▒▒▒▒╰──╮ with bulge
 │▒▒▒┌────┐▒▒▒│
 │▒▒▒└────┘▒▒▒│ holes
 └────────────┘
 points""",
        ),
        "drawing": Entry(
            "the closed outlines of a DXF or SVG drawing; its origin comes to lie on centre",
            25,
            (
                Key("file", '"profile.dxf"', "beside the case file; several outlines become NAME.1, NAME.2, ..."),
                Key("layer", '"busbar"', "needed where several hold outlines", optional=True),
                _UNIT,
                _SCALE,
                Key("gap", '"0.01 mm"', "widest gap between ends that is closed", optional=True),
            ),
            """\
 ┌─ profile.dxf ──┐
 │  ╭──╮     ╭──╮ │ layer
 │  │▒▒╰─────╯▒▒│ │
 │  ╰───────────╯ │
 +────────────────┘
 origin: centre""",
            of_file=True,
        ),
        "mesh": Entry(
            "the outline of a region of a finished triangle mesh, meshed afresh; its origin comes to lie on centre",
            25,
            (
                Key("file", '"section.vtu"', "beside the case file, of any common mesh format"),
                Key("region", '"3"', "name or number of the tag; needed where there are several", optional=True),
                _UNIT,
                _SCALE,
            ),
            """\
 ┌─ section.vtu ──┐
 │ ╱╲▒╱╲▒╱╲▒╱╲▒╱╲ │ region
 │ ▒╲╱▒╲╱▒╲╱▒╲╱▒╲ │
 +────────────────┘
 origin: centre""",
            of_file=True,
        ),
    }
)
