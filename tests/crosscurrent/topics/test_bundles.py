"""The chapter of bundles: one medium, or strands that are solved for."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from topic_cases import chapter

import crosscurrent as cc
from crosscurrent.casefile.case import checked_case
from crosscurrent.postprocess.answers.tables import shared_table
from crosscurrent.postprocess.topics.sweep_curves import SweepCurves
from crosscurrent.run import solve_case
from crosscurrent.solver.metals.strands import Lay


def solved(strands: int, diameter: str, **keys: object) -> cc.Result:
    lead = {"name": "lead", "shape": "bundle", "strands": strands, "strand_diameter": diameter, "material": "copper"}
    data: Mapping[str, object] = {
        "frequency": {"at": ["0 Hz"]},
        "conductor": [lead | keys],
        "circuit": [{"name": "feed", "current": "42 A", "out": ["lead"]}],
        "prices": {},
    }
    return solve_case(checked_case(data))


@pytest.mark.parametrize(("strands", "diameter"), [(420, "0.1 mm"), (7, "0.8 mm")])
def test_resistance_mass_and_what_was_taken(strands: int, diameter: str) -> None:
    """At rest by the copper and its take-up, 1.02 of one stranding operation (EN 60317-11, from memory)."""
    result = solved(strands, diameter, enamel="grade 2", serving="0.1 mm")
    found: Any = chapter(result, "bundles").record["lead"]
    metal = strands * math.pi / 4 * (float(diameter.split()[0]) * 1e-3) ** 2
    assert found["resolved"] is (strands == 7)
    assert result.points[0].bundles["lead"].take_up == 1.02
    assert result["lead"].current == pytest.approx(42)
    assert result.curve("lead")["loss_w_per_m"] == pytest.approx([42**2 * 1.02 / 58e6 / metal], rel=1e-6)
    at_rest = result.points[0].circuits["feed"].dc_resistance
    assert found["dc_resistance_ohm_per_m"] == pytest.approx(1.02 / 58e6 / metal, rel=1e-9)
    assert at_rest == pytest.approx(1.02 / 58e6 / metal, rel=1e-6)
    assert chapter(result, "mass").record["mass_kg_per_m"] == pytest.approx(1.02 * 8890 * metal, rel=1e-6)
    assert any("a take-up of 1.02" in text for text in found["assumed"])


def test_no_bundle_no_chapter() -> None:
    rod = cc.round("rod", diameter="3 mm", material="copper")
    result = solve_case(cc.case("rod", rod, cc.circuit("feed", "1 A", out=["rod"]), at=["0 Hz"]))
    assert "bundles" not in {one.key for one in result.chapters}


def test_a_drawing_that_strands_fill_is_told_as_well(tmp_path: Path) -> None:
    path = tmp_path / "slot.svg"
    slot = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">{}</svg>'
    path.write_text(slot.format('<rect x="1" y="1" width="3" height="2"/>'), encoding="utf-8")
    result = solved(200, "0.1 mm", file=str(path))
    told: Any = chapter(result, "files").record["lead"]
    assert told["area_m2"] == pytest.approx(6e-6, rel=1e-9)
    found: Any = chapter(result, "bundles").record["lead"]
    assert found["outer_diameter_m"] is None
    assert found["fill"] == pytest.approx(1.02 * 200 * math.pi / 4 * 1e-8 / 6e-6, rel=1e-9)


def test_temperature_and_forces_take_bundles() -> None:
    """Heat across strands by the bound, each strand a beam of its own: E I = n E pi d^4 / 64."""
    lead = {"shape": "bundle", "construction": "5 x 84", "strand_diameter": "0.1 mm", "outer_diameter": "3 mm"}
    row = lead | {"name": "lead", "material": "copper", "repeat": {"count": 2, "step": ["8 mm", "0 mm"]}}
    circuit = {"name": "pad", "current": "40 A", "out": ["lead.1"], "back": ["lead.2"]}
    asked: dict[str, object] = {"cooling": {}, "supports": {}, "slopes": {}}
    found = solve_case(
        checked_case({"frequency": {"at": ["85 kHz"]}, "conductor": [row], "circuit": [circuit]} | asked)
    )
    assert not chapter(found, "slopes").pictures  # what more metal would do is unknown like the slopes themselves
    warm, pushed, own = (chapter(found, key) for key in ("temperature", "supports", "bundles"))
    assert any("heat crosses its strands with 0.0" in line for line in warm.sentences)
    figures = warm.record["points"][0]["conductors"]["lead.1"]
    across = figures["temperature_degc"] - figures["surface_temperature_degc"]
    fill = own.record["lead"]["fill"]
    even = figures["loss_w_per_m"] / (4 * math.pi * 0.026 * (1 + fill) / (1 - fill))  # copper against air
    assert 0.95 * even < across < even  # less of what the field adds is in the middle
    assert "lead.1, lead.2: the strands slide on one another, so that each bends by itself" in pushed.sentences
    beam = pushed.record["conductors"][0]
    assert beam["bending_stiffness_n_m2"] == pytest.approx(420 * 120e9 * math.pi * 1e-16 / 64, rel=1e-6)
    assert list(own.pictures) == ["loss-density-85kHz"]
    assert own.sentences[0].startswith("lead.1, lead.2 at 85 kHz: 9")


def test_strands_that_are_solved_for_stand_as_their_bundle() -> None:
    """What three phases share is told once, with all its current; gaps are those that the case states."""
    lead = {"shape": "bundle", "strands": 7, "strand_diameter": "0.2 mm", "material": "copper", "serving": "0.1 mm"}
    rod = {"shape": "round", "diameter": "1 mm", "material": "copper"}
    rows = [
        lead | {"name": "N"},
        rod | {"name": "A", "place": {"left_of": "N", "gap": "1 mm"}},
        rod | {"name": "B", "place": {"right_of": "N", "gap": "2 mm"}},
    ]
    circuits = [{"name": name.lower(), "current": "3 A", "out": [name], "back": ["N"]} for name in "AB"]
    sweep = {"from": "1 kHz", "to": "10 kHz", "points": 2}
    case = checked_case({"frequency": {"sweep": sweep}, "conductor": rows, "circuit": circuits})
    found = solve_case(case)
    assert [(g.one, g.other, round(g.gap, 9)) for g in found.summary.gaps] == [("N", "A", 1e-3), ("N", "B", 2e-3)]
    (shared,) = found.summary.shared
    assert (shared.name, shared.circuits, round(shared.size, 9)) == ("N", ("a", "b"), 6.0)
    assert shared.loss == pytest.approx(found.points[0].bundles["N"].loss, rel=1e-9)
    table = shared_table(found.points[0])
    assert table is not None
    assert [row[0] for row in table.rows] == ["N"]
    problem = case.problem()
    conductors = problem.conductors[:8]
    curves = SweepCurves(problem.circuits[0], conductors, (), np.array([1e3, 1e4]), found.points)
    assert list(curves.by_conductor("loss")) == ["N", "A"]
    assert list(curves.shares) == ["A"]


def test_what_the_lay_may_add_stands_beside_the_resistance() -> None:
    """At most that of the same strands in rings, which is what concentric lay has."""
    of_lay: dict[str, cc.Result] = {}
    lays: tuple[Lay, ...] = ("transposed", "concentric")
    for lay in lays:
        lead = cc.bundle(
            "lead", strands=91, strand_diameter="0.1 mm", insulated_diameter="0.115 mm", pitch="0.115 mm",
            layout="rings", lay=lay, material="copper",
        )  # fmt: skip
        case = cc.case("lead", lead, cc.circuit("feed", "10 A", out=["lead"]), at=["300 kHz"])
        of_lay[lay] = solve_case(case)
    even, kept = (result.points[0].circuits["feed"] for result in of_lay.values())
    assert even.laid_resistance == pytest.approx(kept.resistance, rel=1e-4)
    assert kept.laid_resistance is None
    (first,) = of_lay["transposed"].summary.circuits
    assert first.resistance_as_laid == even.laid_resistance
    assert any("as laid up to" in line for line in of_lay["transposed"].summary.lines)


def test_a_turn_of_strands_has_the_same_band() -> None:
    """Per turn: at most what rings of the same strands have, far from the axis."""
    found = {}
    for lay in ("transposed", "concentric"):
        turn = {"name": "turn", "shape": "bundle", "strands": 420, "strand_diameter": "0.1 mm", "lay": lay,
                "outer_diameter": "2.8 mm", "material": "copper", "centre": ["50 mm", "0 mm"]}  # fmt: skip
        data: Mapping[str, object] = {
            "symmetry": "axial",
            "frequency": {"at": ["85 kHz"]},
            "conductor": [turn],
            "circuit": [{"name": "feed", "current": "10 A", "out": ["turn"]}],
        }
        found[lay] = solve_case(checked_case(data)).points[0].circuits["feed"]
    assert found["transposed"].laid_resistance == pytest.approx(found["concentric"].resistance, rel=1e-3)
