"""Designs side by side: their files, names, losses and one scale of colours."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from drawn_scenes import two_rods

from crosscurrent.postprocess.pictures.scene import Scene
from crosscurrent.postprocess.pictures.side_by_side import _figure, draw_side_by_side


def test_files_are_named_by_the_frequency_and_say_the_losses(tmp_path: Path) -> None:
    """100 A squared over 58 MS/m and the areas of both rods: 2.744 W/m."""
    solution = two_rods().solution
    png, svg = draw_side_by_side([("first", solution), ("second", solution)], folder=tmp_path)
    assert (png.name, svg.name) == ("side-by-side-direct-current.png", "side-by-side-direct-current.svg")
    words = [t.text for t in ET.fromstring(svg.read_text(encoding="utf-8")).iter("{http://www.w3.org/2000/svg}text")]
    for said in ("Designs side by side", "Current density |J|, rms · direct current", "first: 2.744 W/m",
                 "second: 2.744 W/m"):  # fmt: skip
        assert said in words


@pytest.mark.parametrize("count", [1, 3])
def test_maps_have_one_scale_of_lengths_and_do_not_overlap(count: int) -> None:
    rods = two_rods()
    figure = _figure([Scene(rods.solution, rods.answers, f"design {k}") for k in range(count)])
    maps = [a for a in figure.axes if a.images and not a.axison]
    assert len(maps) == count
    boxes = [a.get_window_extent() for a in maps]
    scales = [(a.get_xlim()[1] - a.get_xlim()[0]) / box.width for a, box in zip(maps, boxes, strict=True)]
    assert scales == pytest.approx([scales[0]] * count)
    assert not any(a.overlaps(b) for k, a in enumerate(boxes) for b in boxes[:k])
    assert figure.axes[-1].get_title(loc="left").startswith("|J|, rms [A/mm²]")
