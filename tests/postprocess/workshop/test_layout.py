"""The whole drawing: notes for parts made alike, warning labels from the cautions, layers fit for a file."""

from __future__ import annotations

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import angle, bar, round_bar, tube
from crosscurrent.postprocess.workshop.layout import section_sheet
from crosscurrent.postprocess.workshop.sheet import NOTES, WARNINGS, Sheet
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.strands import Strands

COPPER = MATERIALS["copper"]


def texts(sheet: Sheet, layer: str) -> list[str]:
    return [label.text for label in sheet.labels if label.layer == layer]


def test_parts_made_alike_share_a_note() -> None:
    bars = [Conductor(Part(f"bar.{k}", bar(0.1, 0.006).placed((0.0, 0.01 * k))), COPPER) for k in range(5)]
    notes = texts(section_sheet(bars, "Stack", []), NOTES)
    assert "bar.0 to bar.4 (5): copper, 100 (3.937 in) x 6 (236.2); 600 mm2; 4 sharp edges:" in " ".join(notes)


def test_a_plated_tube_is_described_whole() -> None:
    pipe = Conductor(
        Part("pipe", tube(0.02, 0.002), (5e-6,)), COPPER, coats=(MATERIALS["tin"],), roughness=1e-6
    )  # fmt: skip
    said = " ".join(texts(section_sheet([pipe], "Pipe", []), NOTES))
    for words in ("dia 20 (787.4)", "bore dia 16 (629.9)", "wall 2 (78.74)", "tin 5 um (0.197)", "surface Rq 1 um"):
        assert words in said


def test_hollows_and_edges_have_their_radii() -> None:
    said = " ".join(texts(section_sheet([Conductor(Part("a", bar(0.1, 0.006, 0.0005)), COPPER)], "", []), NOTES))
    assert "edge radius 0.5 (19.69), 4x" in said
    said = " ".join(texts(section_sheet([Conductor(Part("a", angle(0.04, 0.04, 0.005)), COPPER)], "", []), NOTES))
    assert "5 sharp edges: break them" in said


def test_every_kind_of_danger_has_one_label() -> None:
    rail = Conductor(Part("rail", bar(0.1, 0.006)), COPPER)
    assert texts(section_sheet([rail], "", ["Conductors get hot", "they get hot, again"]), WARNINGS) == [
        "HOT SURFACE: burns; check the temperature before touching"
    ]
    assert texts(section_sheet([rail], "", []), WARNINGS) == []


def test_a_bundle_is_described_by_its_strands() -> None:
    lead = Conductor(Part("lead", round_bar(3e-3)), COPPER, strands=Strands(420, 1e-4, take_up=1.04, levels=(5, 84)))
    said = " ".join(texts(section_sheet([lead], "Lead", []), NOTES))
    assert "copper, dia 3 (118.1); over 5 x 84 strands of 0.1 (3.937), 3.431 mm2 of metal" in said


def test_what_a_bundle_is_served_with_is_told_beside_its_size() -> None:
    lead = Conductor(Part("lead", round_bar(0.0026)), COPPER)
    said = " ".join(texts(section_sheet([lead], "Lead", [], [Part("lead", round_bar(0.0026), (1e-4,))]), NOTES))
    assert "without plating and serving" in said
    assert "lead: served, 0.1 (3.937) thick; dia 2.8 (110.2) over all" in said
