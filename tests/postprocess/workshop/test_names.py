"""Names on the drawing: none on another part or another text, every conductor findable."""

from __future__ import annotations

import functools
from pathlib import Path

import numpy as np
import pytest

from crosscurrent.casefile.reader import read_case
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, tube
from crosscurrent.geometries.plane.sides import Sides
from crosscurrent.postprocess.workshop.drawing import drawing, extent, fitted_drawing
from crosscurrent.postprocess.workshop.names import FEW
from crosscurrent.postprocess.workshop.sheet import NOTES, Label, Sheet

ROOT = Path(__file__).resolve().parents[3]
CASES = ["tests/cases/sections/steel-trunking", "tests/cases/sections/seven-rods", "tests/cases/sections/foils",
         "tests/cases/sections/flange-with-bolt", "tests/cases/sections/chassis-return",
         *(f"cases/{name}" for name in (
             "bench-box", "clamp-profile", "feed-edge-to-edge", "feed-facing", "four-bars-grouped",
             "shuttle-trefoil-neutral", "switchboard-in-air", "t-slot-busbar", "water-cooled-feed"))]  # fmt: skip
ROOMS = {"report": (111.6, 50.5), "tight report": (115.0, 33.5)}  # [mm]
SHEETS = ("workshop", *ROOMS)


@functools.cache
def parts_of(case: str) -> tuple[Part, ...]:
    return tuple(c.part for c in read_case(ROOT / f"{case}.toml").problem().conductors)


@functools.cache
def drawn(parts: tuple[Part, ...], kind: str) -> Sheet:
    if kind in ROOMS:
        return fitted_drawing(parts, "", ROOMS[kind], 1.6)
    return drawing(parts, "", float(extent(parts).max()) / 40)


def apart(a: Label, b: Label) -> bool:
    (left, bottom), (right, top) = a.corners
    (other_left, other_bottom), (other_right, other_top) = b.corners
    return right <= other_left or other_right <= left or top <= other_bottom or other_top <= bottom


def spots(label: Label) -> np.ndarray:
    """Points all over the box of a text [m]."""
    (left, bottom), (right, top) = label.corners
    x, y = np.meshgrid(np.linspace(left, right, 60), np.linspace(bottom, top, 12))
    return np.column_stack((x.ravel(), y.ravel())) * 1e-3


def ends_at(sheet: Sheet, label: Label) -> np.ndarray | None:
    """Where the leader that begins at a text ends [m]."""
    low, high = np.array(label.corners) + 0.6 * sheet.height * np.array([[-1.0], [1.0]])
    for line in sheet.lines:
        if line.layer == NOTES and not line.filled and ((low <= line.points[0]) & (line.points[0] <= high)).all():
            return np.array(line.points[-1]) * 1e-3
    return None


@pytest.mark.parametrize("kind", SHEETS)
@pytest.mark.parametrize("case", CASES)
def test_no_name_lies_over_another_part_or_text_and_every_part_is_found(case: str, kind: str) -> None:
    parts = parts_of(case)
    sheet = drawn(parts, kind)
    names = {label.text: label for label in sheet.labels if label.layer == NOTES}
    for name, label in names.items():
        others = [part for part in parts if part.name != name]
        assert not any(part.contains(spots(label)).any() for part in others), name
        assert all(apart(label, other) for other in sheet.labels if other is not label), name
    for part in parts:
        row = [other for other in parts if other.name.rpartition(".")[0] == part.name.rpartition(".")[0]]
        if part.name not in names:
            assert len(row) > FEW
            continue
        label = names[part.name]
        end = ends_at(sheet, label)
        if end is None:
            assert part.contains(spots(label)).all(), part.name
        else:
            away = [float(Sides.of(*other.all_outlines).distance(end[None])[0]) for other in parts]
            assert int(np.argmin(away)) == parts.index(part), part.name


@pytest.mark.parametrize("kind", SHEETS)
@pytest.mark.parametrize("case", CASES)
def test_no_line_runs_through_a_text_and_no_text_over_another(case: str, kind: str) -> None:
    sheet = drawn(parts_of(case), kind)
    steps = np.linspace(0.0, 1.0, 100)[:, None, None]
    ways = [np.array(line.points) for line in sheet.lines if not line.filled]
    on = np.concatenate([(way[:-1] + steps * np.diff(way, axis=0)).reshape(-1, 2) for way in ways])
    for number, label in enumerate(sheet.labels):
        low, high = np.array(label.corners) + 0.05 * sheet.height * np.array([[1.0], [-1.0]])
        assert not ((on > low) & (on < high)).all(axis=1).any(), label.text
        assert all(apart(label, other) for other in sheet.labels[:number]), label.text


@pytest.mark.parametrize("case", CASES)
def test_the_ends_of_long_rows_are_named(case: str) -> None:
    parts = parts_of(case)
    named = {label.text for label in drawn(parts, "report").labels if label.layer == NOTES}
    assert {parts[0].name, parts[-1].name} <= named


def test_a_tall_bar_has_its_name_upright() -> None:
    sheet = drawn((Part("riser", bar(0.006, 0.08)),), "workshop")
    (name,) = (label for label in sheet.labels if label.text == "riser")
    assert name.upright


def test_a_name_never_hangs_in_the_bore_of_its_own_tube() -> None:
    pipe = Part("pipe", tube(0.04, 0.001))
    sheet = drawn((pipe,), "workshop")
    (name,) = (label for label in sheet.labels if label.text == "pipe")
    assert not pipe.contains(spots(name)).any()
    assert ends_at(sheet, name) is not None


def test_a_very_long_name_is_cut() -> None:
    sheet = drawn((Part("n" * 300, bar(0.1, 0.006)),), "workshop")
    assert max(len(label.text) for label in sheet.labels) < 30


def test_turns_between_two_discs_are_led_to_past_them() -> None:
    """As in a pad: no leader crosses a disc, where two turns can be named without."""
    turns = tuple(Part(f"turn.{k}", tube(0.008, 0.001).placed((0.018 + 0.012 * k, 0.0))) for k in range(1, 5))
    discs = tuple(Part(name, bar(0.18, 0.003).placed((0.0, z))) for name, z in (("shield", 0.012), ("deck", -0.012)))
    sheet = drawing((*turns, *discs), "", float(extent((*turns, *discs)).max()) / 40, "right half")
    led = [label for label in sheet.labels if label.text.startswith("turn.")]
    assert len(led) >= 2
    for label in led:
        foot = ends_at(sheet, label)
        assert foot is not None
        (line,) = [one for one in sheet.lines if one.layer == NOTES and np.allclose(one.points[-1], foot * 1e3)]
        (r, z), (x, y) = np.array(line.points) * 1e-3
        for height in (0.012, -0.012):  # where it comes to the middle of a disc it is beyond its rim
            if (z - height) * (y - height) < 0:
                assert abs(r + (x - r) * (height - z) / (y - z)) > 0.09
