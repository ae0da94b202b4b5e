"""Bundles of strands in a case file: what they become, where they stand, and what is said of them."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import crosscurrent as cc
from crosscurrent.casefile.bundles import BundleConductor
from crosscurrent.casefile.case import Case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.reader import read_case
from crosscurrent.casefile.varied import varied
from crosscurrent.geometries.plane.part import Part
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.field.strand_shares import placed
from crosscurrent.solver.metals.materials import Material

TEXT = """
[frequency]
at = ["85 kHz"]
[named]
number = 420
wire = "0.1 mm"
[[conductor]]
name = "lead"
shape = "bundle"
strands = "number"
strand_diameter = "wire"
outer_diameter = "3 mm"
serving = "0.1 mm"
material = "copper"
[[conductor]]
name = "plate"
shape = "bar"
width = "20 mm"
thickness = "1 mm"
material = "aluminium-1350"
place = { below = "lead", gap = "2 mm" }
[[circuit]]
name = "feed"
current = "40 A"
out = ["lead"]
"""


def made(**keys: object) -> BundleConductor:
    found = cc.bundle("lead", material="copper", **({"strand_diameter": "0.1 mm"} | keys))  # type: ignore[arg-type]
    assert isinstance(found, BundleConductor)
    return found


def read(folder: Path, text: str) -> Case:
    path = folder / "case.toml"
    path.write_text(text, encoding="utf-8")
    return read_case(path)


def test_many_strands_are_a_medium_in_their_outline(tmp_path: Path) -> None:
    case = read(tmp_path, TEXT)
    lead, plate = case.problem().conductors
    assert lead.strands is not None
    assert (lead.strands.count, lead.strands.diameter, lead.strands.lay) == (420, 1e-4, "transposed")
    assert lead.part.area == pytest.approx(math.pi / 4 * 9e-6, rel=1e-12)
    assert plate.part.bounds[1, 1] == pytest.approx(-1.5e-3 - 0.1e-3 - 2e-3, rel=1e-9)  # serving, gap
    assert case.problem().bundles == ()
    row = case.data.conductor[0]
    assert isinstance(row, BundleConductor)
    assert row.sizes.assumed == (
        "enamel of grade 1, 0.1125 mm over the enamel, the middle of what IEC 60317-0-1 allows (from memory)",
        "a take-up of 1.02, of one stranding operation (EN 60317-11 as quoted)",
    )


def test_names_of_the_case_are_varied(tmp_path: Path) -> None:
    case = read(tmp_path, TEXT)
    other = varied(case, {"number": 300, "wire": 0.12e-3}).problem().conductors[0].strands
    assert other is not None
    assert (other.count, other.diameter) == (300, 0.12e-3)
    with pytest.raises(CaseError, match="at most 603 strands"):  # of a hexagonal lattice in 3 mm / 0.1125 mm
        varied(case, {"number": 645})
    assert varied(case, {"wire": "AWG 40"}).data.conductor[0].strand_diameter == pytest.approx(79.9e-6, rel=1e-3)  # type: ignore[attr-defined]


def test_few_strands_are_conductors_that_go_together(tmp_path: Path) -> None:
    text = TEXT.replace("number = 420", "number = 7").replace('wire = "0.1 mm"', 'wire = "0.8 mm"')
    problem = read(tmp_path, text).problem()
    names = tuple(f"lead.{k}" for k in range(1, 8))
    assert problem.names == (*names, "plate")
    assert problem.circuits[0].out == names
    (bound,) = problem.bundles
    assert (bound.name, bound.members, bound.lay, bound.rings) == ("lead", names, "transposed", (0, 1, 1, 1, 1, 1, 1))
    strands = problem.conductors[:7]
    centres = np.array([c.part.bounds.mean(axis=0) for c in strands])
    over = (0.829e-3 + 0.855e-3) / 2  # grade 1 of 0.8 mm
    assert np.hypot(*centres[1:].T) == pytest.approx(np.full(6, (3e-3 - over) / 2), rel=1e-9)
    assert centres[1] == pytest.approx([(3e-3 - over) / 2, 0], abs=1e-12)  # the first neighbour on the x axis
    assert strands[0].material.conductivity == pytest.approx(58e6 / 1.02)  # its wires are longer than the run
    assert problem.conductors[7].part.bounds[1, 1] == pytest.approx(-3.6e-3, rel=1e-9)  # beside all of it


def test_copies_turned_and_mirrored() -> None:
    one = made(strands=7, pitch="0.2 mm", repeat={"count": 2, "gap": "1 mm"}, turn="90 deg", centre=("1 mm", "2 mm"))
    case = cc.case("leads", one, cc.circuit("feed", "1 A", out=["lead.2"], back=["lead.1"]), at=["85 kHz"])
    problem = case.problem()
    assert [bound.name for bound in problem.bundles] == ["lead.1", "lead.2"]
    assert problem.circuits[0].out == problem.bundles[1].members == tuple(f"lead.2.{k}" for k in range(1, 8))
    over = 2 * 0.2e-3 + 0.1125e-3
    first, second = (problem.conductors[k].part.bounds.mean(axis=0) for k in (1, 8))
    assert first == pytest.approx([1e-3, 2.2e-3])
    assert second == pytest.approx([1e-3 + over + 1e-3, 2.2e-3])


@pytest.mark.parametrize("mirrored", [None, "left-right", "top-bottom"])
def test_straight_strands_of_a_medium_lie_as_those_that_are_solved_for(mirrored: str | None) -> None:
    keys: dict[str, object] = {"turn": "20 deg", "mirrored": mirrored, "lay": "straight", "layout": "square"}
    many = made(strands=38, pitch="0.2 mm", **keys)
    one = Conductor(Part("lead", many.draw()), Material("copper", 58e6))
    found = placed(one, replace(many.laid, count=23)) @ [1, 1j]
    wanted = np.array(list(made(strands=23, pitch="0.2 mm", **keys).copies.values())) @ [1, 1j]
    assert found / abs(np.ptp(found)) == pytest.approx(wanted / abs(np.ptp(wanted)))
    assert made(strands=38, pitch="0.2 mm", turn="20 deg").laid.turn == 0  # transposed: it does not matter


@pytest.mark.parametrize(
    ("keys", "outer"),
    [
        ({"strands": 420, "insulated_diameter": "0.12 mm"}, 1.28 * math.sqrt(420) * 0.12),
        ({"strands": 91, "pitch": "0.12 mm"}, math.sqrt(4 / math.pi * 91 * math.sqrt(3) / 2) * 0.12),
        ({"strands": 49, "pitch": "0.12 mm", "layout": "square"}, math.sqrt(4 / math.pi * 49) * 0.12),
        ({"strands": 19, "insulated_diameter": "0.12 mm"}, 5 * 0.12),
        ({"strands": 19, "insulated_diameter": "0.12 mm", "layout": "rings"}, 5 * 0.12),
        ({"strands": 91, "pitch": "0.12 mm", "lay": "concentric"}, 11 * 0.12),
        ({"strands": 19, "pitch": "0.15 mm", "insulated_diameter": "0.12 mm"}, 4 * 0.15 + 0.12),
    ],
)
def test_what_is_over_the_strands(keys: dict[str, object], outer: float) -> None:
    bounds = made(**keys).draw().outer.bounds
    assert (bounds[1] - bounds[0]) * 1e3 == pytest.approx([outer, outer], rel=1e-9)


def test_rings() -> None:
    """Round layers of six more each: the places of IEC 60228's concentric lay (from memory)."""
    bundle = made(strands=19, lay="concentric", insulated_diameter="0.12 mm")
    case = cc.case("lead", bundle, cc.circuit("feed", "1 A", out=["lead"]), at=["85 kHz"])
    (bound,) = case.problem().bundles
    assert bound.rings == (0, *[1] * 6, *[2] * 12)
    centres = np.array([c.part.bounds.mean(axis=0) for c in case.problem().conductors])
    assert np.hypot(*centres.T) * 1e3 == pytest.approx([0, *[0.12] * 6, *[0.24] * 12])
    filling = made(strands=91, lay="concentric", outer_diameter="1.4 mm").filling
    assert filling is not None
    assert (filling.layout, filling.ringed) == ("rings", True)


@pytest.mark.parametrize(
    ("keys", "found"),
    [
        ({"lay": "concentric", "layout": "hexagonal"}, 'expected layout = "rings" with lay = "concentric"'),
        ({"lay": "concentric", "width": "4 mm", "thickness": "2 mm"}, 'a round outline with lay = "concentric"'),
        ({"layout": "rings", "width": "4 mm", "thickness": "2 mm"}, 'a round outline with layout = "rings"'),
        ({"layout": "rings", "outer_diameter": "2.2 mm"}, "at most 290 strands"),
    ],
)
def test_rings_that_cannot_be(keys: dict[str, object], found: str) -> None:
    with pytest.raises(CaseError, match=found):
        made(strands=420, insulated_diameter="0.11 mm", **keys).sizes.insulated  # noqa: B018 - sizes are checked


def test_few_strands_are_one_body_where_air_cools_them_or_a_fault_pushes_them() -> None:
    """The circle of their cells' area for a lattice, as far as they reach for rings; their room is kept."""
    fault = {"current": "1 kA", "frequency": "50 Hz", "x_over_r": 3, "duration": "50 ms"}
    for keys, diameter in (({}, math.sqrt(4 / math.pi * 19 * math.sqrt(3) / 2)), ({"lay": "concentric"}, 5.0)):
        bundle = made(strands=19, insulated_diameter="0.12 mm", **keys)
        feed = cc.circuit("feed", "1 A", out=["lead"])
        apart = cc.case("lead", bundle, feed, at=["85 kHz"])
        whole = cc.case("lead", bundle, feed, at=["85 kHz"], cooling={"finish": "painted"})
        assert len(apart.problem().conductors) == 19
        pushed = cc.case("lead", bundle, feed, at=["85 kHz"], fault=fault)
        assert pushed.problem().names == whole.problem().names == ("lead",)
        (lead,) = whole.problem().conductors
        assert lead.strands is not None
        assert lead.part.area == pytest.approx(math.pi / 4 * (diameter * 0.12e-3) ** 2)
        (room,) = whole.data.conductor[0].envelope()
        assert room.area == pytest.approx(math.pi / 4 * (5 * 0.12e-3) ** 2)
    few = cc.case("lead", made(strands=4, insulated_diameter="0.12 mm"), feed, at=["85 kHz"], cooling={})
    assert len(few.problem().conductors) == 4


def test_take_up() -> None:
    assert made(strands=420, outer_diameter="3 mm", lay_length="30 mm").sizes.take_up == pytest.approx(1.0247, abs=1e-4)
    assert made(construction="5 x 84", outer_diameter="3 mm").sizes.take_up == 1.04
    assert made(construction="5 x 7 x 12", outer_diameter="3 mm").sizes.take_up == 1.06
    assert made(strands=420, outer_diameter="3 mm", lay="straight").sizes.take_up == 1.0


def test_constructions_and_older_words() -> None:
    filling = made(construction="5 x 84", outer_diameter="3 mm", pitch="0.115 mm", sharing="free").filling
    assert filling is not None
    assert (filling.count, filling.levels, filling.lay) == (420, (5, 84), "straight")
    assert filling.space == pytest.approx(math.sqrt(3) / 2 * 0.115e-3**2)
    assert made(strands=420, outer_diameter="3 mm", sharing="equal").filling == made(
        strands=420, outer_diameter="3 mm").filling  # fmt: skip


def test_pressed_into_a_bar_and_into_a_drawing(tmp_path: Path) -> None:
    bar = made(strands=200, width="4 mm", thickness="1.2 mm", edge_radius="0.2 mm")
    assert bar.draw().area * 1e6 == pytest.approx(4.8 - (4 - math.pi) * 0.04, rel=1e-9)
    assert made(strands=12, width="1 mm", thickness="0.5 mm").filling is not None  # pressed strands lie in no layout
    square = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">{}</svg>'
    path = tmp_path / "slot.svg"
    path.write_text(square.format('<rect x="1" y="1" width="3" height="2"/>'), encoding="utf-8")
    slot = made(strands=200, file=str(path))
    assert slot.draw().area * 1e6 == pytest.approx(6.0, rel=1e-9)
    path.write_text(square.format('<rect width="3" height="2"/><rect x="5" width="3" height="2"/>'), encoding="utf-8")
    with pytest.raises(CaseError, match="one outline that the strands fill, found 2"):
        made(strands=200, file=str(path))
    with pytest.raises(CaseError, match="no such file"):
        made(strands=200, file=str(tmp_path / "none.svg"))
