"""A section round an axis on a drawing: the axis, both halves, diameters."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.postprocess.workshop.axis import add_axis, is_on_axis, mirrored_gap
from crosscurrent.postprocess.workshop.drawing import drawing, extent_of, fitted_drawing
from crosscurrent.postprocess.workshop.gaps import joining_gaps
from crosscurrent.postprocess.workshop.layout import parts_list
from crosscurrent.postprocess.workshop.sheet import Sheet
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.metals.materials import MATERIALS

BILLET = Part("billet", bar(0.06, 0.16))
TURNS = tuple(Part(f"turn.{k}", round_bar(0.012).placed((0.042, 0.02 * k))) for k in (1, 2))


def test_the_axis_runs_through_everything_in_long_and_short_dashes() -> None:
    sheet = Sheet("coil", 2.0)
    add_axis(sheet, (BILLET,))
    dashes = [float(line.points[1][1] - line.points[0][1]) for line in sheet.lines]
    assert {line.points[0][0] for line in sheet.lines} == {0.0}
    assert sheet.lines[0].points[0][1] < -80
    assert sheet.lines[-1].points[1][1] > 80
    assert dashes[0] > 3 * dashes[1]
    assert [label.text for label in sheet.labels] == ["axis"]


def test_dimensions_are_diameters() -> None:
    words = [label.text for label in drawing((BILLET, *TURNS), "coil", 4.0, "both halves").labels]
    assert {"dia 60 (2.362 in)", "inner dia 72 (2.835 in)", "outer dia 96 (3.78 in)", "160 (6.299 in)"} <= set(words)
    assert words.count("turn.1") == words.count("billet") == 1


def test_three_turns_are_all_named_and_of_more_the_first_and_the_last() -> None:
    for count, expected in ((3, {"turn.1", "turn.2", "turn.3"}), (5, {"turn.1", "turn.5"})):
        turns = [Part(f"turn.{k + 1}", round_bar(0.012).placed((0.042, 0.02 * k))) for k in range(count)]
        words = [label.text for label in drawing((BILLET, *turns), "coil", 4.0, "both halves").labels]
        assert {word for word in words if word.startswith("turn")} == expected


def test_turns_are_on_both_sides_or_on_the_right() -> None:
    for kind, count, wide in (("both halves", 5, 96.0), ("right half", 3, 78.0)):
        assert len(drawing((BILLET, *TURNS), "coil", 4.0, kind).hatches) == count
        np.testing.assert_allclose(extent_of((BILLET, *TURNS), kind), (wide, 160.0))


def test_gaps_between_turns_above_one_another_are_told_on_the_left() -> None:
    (between,) = joining_gaps(TURNS)
    assert mirrored_gap(between).start[0] == -between.start[0]
    (beside,) = joining_gaps((BILLET, Part("turn", round_bar(0.012).placed((0.042, 0.0)))))
    assert mirrored_gap(beside) is beside
    assert [is_on_axis(p) for p in (BILLET, *TURNS)] == [True, False, False]


def test_turns_made_alike_are_told_with_their_mean_diameters() -> None:
    copper = MATERIALS["copper"]
    spiral = [Conductor(Part(f"turn.{k}", round_bar(0.005).placed((0.01 * k, 0.0))), copper) for k in (2, 3)]
    (names, made), (_, billet) = parts_list([*spiral, Conductor(BILLET, copper)], axial=True)
    assert names == "turn.2, turn.3"
    assert made.endswith("mean diameters 40 (1.575 in) to 60 (2.362 in)")
    assert billet.startswith("copper, dia 60 (2.362 in) x 160 (6.299 in) along the axis")


def test_no_line_of_a_dimension_runs_through_the_text_of_another() -> None:
    """A pancake between two discs: its own extension lines run down past their diameters."""
    turns = [Part(f"turn.{k + 1}", round_bar(0.006).placed((0.030 + 0.008 * k, 0.0))) for k in range(8)]
    discs = [Part("plate", bar(0.24, 0.004).placed((0.0, 0.012))), Part("disc", bar(0.22, 0.006).placed((0.0, -0.009)))]
    sheet = fitted_drawing([discs[0], *turns, discs[1]], "pancake", (111.6, 50.5), 1.6, "both halves")
    down = [line for line in sheet.lines if len(line.points) == 2 and line.points[0][0] == line.points[1][0]]
    told = [label for label in sheet.labels if " dia " in f" {label.text}"]
    assert len(told) == 5
    for label in told:
        (left, low), (right, high) = label.corners
        for line in down:
            (x, one), (_, other) = line.points
            assert not (left < x < right and min(one, other) < low and high < max(one, other)), label.text
