"""Faults of sections round an axis; their messages stand in faulty/axial-*.txt."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from crosscurrent.api import case, circuit, conductor
from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.casefile.faults import CaseError

TURN = {"name": "turn", "shape": "round", "diameter": "4 mm", "material": "copper", "centre": ["30 mm", "0 mm"]}

BILLET = {"name": "billet", "shape": "round", "diameter": "20 mm"}

WATER = {"conductors": ["pipe"], "inlet": "20 degC", "flow": "1 l/min"}


def made(*further: dict[str, object], out: str = "turn", **tables: object) -> Case:
    coil = circuit("coil", "10 A", out=[out])
    return case("coil", [TURN, *further], coil, at=["20 kHz"], symmetry="axial", **tables)


def test_a_ring_becomes_a_closed_conductor_and_a_half_the_whole() -> None:
    ring = TURN | {"name": "ring", "centre": ["20 mm", "0 mm"], "closed": True}
    half = {"name": "billet", "shape": "bar", "width": "10 mm", "thickness": "40 mm", "material": "copper"}
    problem = made(ring, half | {"centre": ["5 mm", "0 mm"]}).problem()
    assert problem.axial
    assert problem.closed == (False, True, True)
    assert problem.section.parts[2].bounds[:, 0].tolist() == pytest.approx([-0.01, 0.01])


def test_what_speaks_of_straight_runs_is_refused() -> None:
    with pytest.raises(CaseError, match="round an axis"):
        made(prices={})


def test_how_an_axis_and_how_a_run_lies_are_two_keys() -> None:
    made(cooling={"axis": "lying"})
    with pytest.raises(CaseError, match='orientation in a section round an axis; write axis = "upright" or "lying"'):
        made(cooling={"orientation": "vertical"})
    with pytest.raises(CaseError, match="found a plane one; write orientation instead"):
        case("plane", [TURN], circuit("coil", "10 A", out=["turn"]), at=["20 kHz"], cooling={"axis": "upright"})


@pytest.mark.parametrize(
    ("held", "more", "said"),
    [
        (["ring"], {}, r'the name of a conductor.*found "ring"'),
        (["turn"], {}, "a conductor whose temperature is to be found, found all of them"),
        (["pipe"], {"water": [WATER]}, r"which is in \[\[water\]\]"),
    ],
)
def test_what_is_held_is_known_and_dry_and_not_all(held: list[str], more: dict[str, object], said: str) -> None:
    further = [TURN | {"name": "pipe", "shape": "tube", "wall": "0.5 mm", "centre": ["50 mm", "0 mm"]}] if more else []
    with pytest.raises(CaseError, match=said):
        made(*further, cooling={"held": held}, **more)


def test_a_word_for_all_copies_finds_the_closed_one() -> None:
    rings = TURN | {"name": "ring", "centre": ["20 mm", "0 mm"], "closed": True,
                    "repeat": {"count": 3, "step": ["0 mm", "8 mm"]}}  # fmt: skip
    with pytest.raises(CaseError, match=r'"ring\.1", which is a closed ring: it has no ends'):
        made(rings, out="ring.*")


def test_conductor_takes_closed_in_python_too() -> None:
    ring = conductor("ring", "round", material="copper", diameter="4 mm", centre=("20 mm", "0 mm"), closed=True)
    with pytest.raises(CaseError, match="plane one"):
        case("plane", [TURN, ring], circuit("coil", "10 A", out=["turn"]), at=["20 kHz"])


@pytest.mark.parametrize("symmetry", [{}, {"symmetry": "axial"}])
def test_no_current_is_led_into_ferrite(symmetry: dict[str, str]) -> None:
    table = {"ferrite": {"conductivity": "0 S/m", "permeability": 2000, "permeability_loss": 40}}
    ring = TURN | {"name": "sleeve", "centre": ["50 mm", "0 mm"], "material": "ferrite"}
    coil = circuit("coil", "10 A", out=["turn", "sleeve"])
    with pytest.raises(CaseError, match=r'"sleeve", which does not conduct'):
        case("coil", [TURN, ring], coil, at=["20 kHz"], materials=table, **symmetry)


@pytest.mark.parametrize("written", ["0 Hz", "0Hz", "0.00 kHz"])
def test_nothing_is_induced_and_nothing_resonates_at_rest(written: str) -> None:
    coil, billet = circuit("coil", "10 A", out=["turn"]), BILLET | {"material": "copper"}
    with pytest.raises(CaseError, match="direct current induces nothing"):
        case("rest", [TURN, billet], coil, at=[written], symmetry="axial", power={"wanted": "1 kW"})
    with pytest.raises(CaseError, match="direct current resonates with nothing"):
        case("rest", [TURN, billet], coil, at=[written], symmetry="axial", tank={"joined": "series"})


def test_power_is_wanted_in_what_can_take_it() -> None:
    core, power = BILLET | {"material": "core"}, {"wanted": "1 kW", "into": ["billet"]}
    lossless: dict[str, object] = {"conductivity": "0 S/m", "permeability": 2000}
    coil = circuit("coil", "10 A", out=["turn"])

    def wanted(core: dict[str, object], **more: object) -> None:
        metals = {"core": lossless | more}
        case("core", [TURN, core], coil, at=["20 kHz"], symmetry="axial", materials=metals, power=power)

    with pytest.raises(CaseError, match='found "billet", which neither conducts nor has a permeability_loss'):
        wanted(core)
    wanted(core, permeability_loss=20)
    wanted(core, conductivity="1 S/m")
    wanted(core | {"plating": [{"material": "copper", "thickness": "20 um"}]})


def faults_with(*conductors: dict[str, object], turns: Sequence[str] = ("turn",), **power: object) -> list[str]:
    """Keys at fault of a coil with wanted power."""
    coil = {"name": "coil", "turns": list(turns), "current": "10 A"}
    written = {"conductor": [TURN, *conductors], "coil": [coil], "frequency": {"at": ["20 kHz"]}, "symmetry": "axial"}
    with pytest.raises(CaseError) as caught:
        checked_case(written | {"title": "x", "power": {"wanted": "1 kW"} | power})
    return [fault.key for fault in caught.value.faults]


def test_one_fault_for_a_mistake_in_the_piece_that_is_heated() -> None:
    billet = BILLET | {"material": "copper"}
    assert faults_with(billet | {"curent": "3 A"}) == ["curent"]
    assert faults_with(billet | {"width": "30"}, into=["billet"]) == ["width"]
    assert faults_with(billet, turns=("turn", "billet"), into=["billet"]) == ["turns 2"]
    assert faults_with(billet, into=["turn"]) == ["into 1"]
    assert faults_with(into=["turn"]) == ["into 1"]
    assert faults_with() == ["wanted"]


def test_a_current_stands_with_the_coil_or_nowhere() -> None:
    for table in (BILLET, TURN | {"name": "ring", "centre": ["20 mm", "0 mm"], "closed": True}):
        with pytest.raises(CaseError) as caught:
            made(table | {"material": "copper", "current": "50 A"})
        (fault,) = caught.value.faults
        assert (fault.key, fault.found) == ("current", "a key of a circuit or coil")
        assert "takes no current from outside" in fault.hint
