"""The recipes of DEVELOPERS.md hold: a shape and a metal, registered as they say, are there everywhere.

The recipe of a picture is tested in tests/postprocess/pictures, that of a question in tests/crosscurrent/topics.
"""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Literal, Union

import pytest
from pydantic import Field, TypeAdapter, create_model

from crosscurrent.__main__ import main
from crosscurrent.casefile import case as casefile
from crosscurrent.casefile import conductors_from_files, draft, wording
from crosscurrent.casefile.conductors import ConductorTable
from crosscurrent.casefile.entries import Length, Sample, some
from crosscurrent.casefile.model import CaseData
from crosscurrent.command import catalogue
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.shapes import Shape
from crosscurrent.solver.metals import materials
from crosscurrent.solver.metals.materials import MATERIALS

CASE = """
[frequency]
at = ["0 Hz"]
[[conductor]]
name = "part"
{shape}
material = "{metal}"
[[circuit]]
name = "feed"
current = "1 A"
out = ["part"]
"""


def diamond(side: float) -> Shape:
    """A square that stands on a corner."""
    half = side / math.sqrt(2)
    return Shape(Outline.of([(0.0, -half), (half, 0.0), (0.0, half), (-half, 0.0)], [0.0] * 4))


class DiamondConductor(ConductorTable):
    """A square that stands on a corner."""

    builder = staticmethod(diamond)
    summary = "a square on its corner"
    height_of_sample = 14
    drawing = "<>"
    shape: Literal["diamond"]
    side: Annotated[Length, Sample('"10 mm"', "of the square")]


@pytest.fixture
def with_diamond(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the place in BY_SHAPE does when the modules are loaded."""
    models = {**conductors_from_files.MODELS, "diamond": DiamondConductor}
    known = Annotated[Union[tuple(models.values())], Field(discriminator="shape")]  # noqa: UP007
    larger = create_model("CaseData", __base__=CaseData, conductor=(Annotated[tuple[known, ...], some("add one")], ...))
    monkeypatch.setattr(casefile, "CaseData", larger)
    monkeypatch.setattr(draft, "CONDUCTOR", TypeAdapter(known))
    monkeypatch.setattr(wording, "MODELS", models)
    monkeypatch.setattr(catalogue, "CATALOGUE", {n: catalogue.entry(model) for n, model in models.items()})


def solved(folder: Path, text: str) -> dict:
    path = folder / "part.toml"
    path.write_text(text, encoding="utf-8")
    assert main(["run", str(path), "--report", "--all"]) == 0
    return json.loads((folder / "part" / "results.json").read_text(encoding="utf-8"))


def test_a_shape(with_diamond: None, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = solved(tmp_path, CASE.format(shape='shape = "diamond"\nside = "10 mm"', metal="copper"))
    at_rest = found["points"][0]["circuits"]["feed"]["dc_resistance_ohm_per_m"]
    assert at_rest == pytest.approx(1 / (58e6 * 1e-4), rel=1e-9)
    assert 'shape = "diamond"' in (tmp_path / "part" / "report.html").read_text(encoding="utf-8").replace("&#34;", '"')
    assert "part" in capsys.readouterr().out
    found_keys = [(key.name, key.sample, key.optional) for key in catalogue.CATALOGUE["diamond"].keys]
    assert found_keys == [("side", '"10 mm"', False)]
    (tmp_path / "wrong.toml").write_text(CASE.format(shape='shape = "dimond"\nside = "10 mm"', metal="copper"))
    assert main(["run", str(tmp_path / "wrong.toml")]) == 2
    assert 'did you mean "diamond"?' in capsys.readouterr().err


def test_a_metal(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lead = replace(MATERIALS["tin"], name="lead", conductivity=4.8e6, source="a test")
    monkeypatch.setattr(materials, "MATERIALS", {**MATERIALS, "lead": lead})
    monkeypatch.setattr(draft, "MATERIALS", {**MATERIALS, "lead": lead})
    monkeypatch.setattr("crosscurrent.casefile.checks.MATERIALS", {**MATERIALS, "lead": lead})
    found = solved(tmp_path, CASE.format(shape='shape = "round"\ndiameter = "20 mm"', metal="lead"))
    at_rest = found["points"][0]["circuits"]["feed"]["dc_resistance_ohm_per_m"]
    assert at_rest == pytest.approx(1 / (4.8e6 * math.pi * 1e-4), rel=1e-9)
    assert "lead: 4.8 MS/m" in capsys.readouterr().out
    assert "a test" in (tmp_path / "part" / "report.html").read_text(encoding="utf-8")
