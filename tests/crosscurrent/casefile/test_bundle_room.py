"""One rule for what fits: what is told can be typed, one more cannot, and what fits for a number fits for fewer."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import crosscurrent as cc
from crosscurrent.casefile.bundle_room import Bar, Circle, at_least, at_most
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.reader import read_case
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.strand_choice import TRADE, choices

SLOT = "0,0 4,0 4,1 2.5,1 2.5,2.2 1.5,2.2 1.5,1 0,1"  # an upside-down T [mm]


def made(**keys: object) -> object:
    return cc.bundle("lead", material="copper", **keys)  # type: ignore[arg-type]


def refusal(**keys: object) -> tuple[str, str, str] | None:
    """Key, what was expected and what to do; None where it is taken."""
    try:
        made(**keys)
    except CaseError as error:
        (one,) = error.faults
        return one.key, one.expected, one.hint
    return None


def told(expected: str) -> int:
    found = re.match(r"at most (\d+) strands", expected)
    assert found is not None
    return int(found[1])


def mm(size: float) -> str:
    return f"{size:.4f} mm"


layouts = st.sampled_from([
    {}, {"layout": "hexagonal"}, {"layout": "square"}, {"lay": "concentric"}, {"layout": "rings"}
])  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(ratio=st.floats(2.0, 14.0), layout=layouts, share=st.floats(0, 1))
def test_round_bundles(ratio: float, layout: dict[str, str], share: float) -> None:
    keys = {"strand_diameter": "0.1 mm", "insulated_diameter": "0.12 mm", "outer_diameter": mm(0.12 * ratio)} | layout
    refused = refusal(strands=int(ratio**2) + 2, **keys)
    assert refused is not None
    most = told(refused[1])
    assert refusal(strands=max(most, 2), **keys) is None
    more = refusal(strands=most + 1, **keys)
    assert more is not None
    assert told(more[1]) == most
    assert refusal(strands=2 + int(share * (most - 2)), **keys) is None
    needed = re.search(r"outer_diameter of at least ([\d.]+ mm), or strands of at most ([\d.]+ mm)", more[2])
    assert needed is not None
    assert refusal(strands=most + 1, **keys | {"outer_diameter": needed[1]}) is None
    thin = {"strand_diameter": "0.01 mm", "insulated_diameter": needed[2]}
    assert refusal(strands=most + 1, **keys | thin) is None


@pytest.mark.parametrize("strands", [35, 36, 37, 38])
def test_few_and_many_go_by_the_same_rule(strands: int) -> None:
    """0.301 mm in 2.1 mm is 6.977: 38 need 6.962, 39 need 7.058 (R. L. Graham et al. 1998, from memory)."""
    keys = {"strand_diameter": "0.28 mm", "insulated_diameter": "0.301 mm", "outer_diameter": "2.1 mm"}
    assert refusal(strands=strands, **keys) is None
    refused = refusal(strands=strands + 4, **keys)
    assert refused is not None
    assert refused[1].startswith("at most 38 strands of 0.301 mm with insulation in a circle of 2.1 mm")
    bundle = made(strands=strands, **keys)
    assert bundle.is_resolved == (strands < 38)  # type: ignore[attr-defined]


def test_strands_that_are_solved_for_have_room_where_they_lie() -> None:
    keys = {"strand_diameter": "0.28 mm", "insulated_diameter": "0.301 mm", "outer_diameter": "2.1 mm"}
    places = list(made(strands=36, **keys).copies.values())  # type: ignore[attr-defined]
    assert max(math.hypot(*p) for p in places) <= (2.1e-3 - 0.301e-3) / 2 * (1 + 1e-9)
    assert min(math.dist(p, q) for k, p in enumerate(places) for q in places[:k]) >= 0.301e-3 * (1 - 1e-9)
    said = made(strands=36, **keys).sizes.assumed  # type: ignore[attr-defined]
    assert "strands packed as densely as is known, which is how so many have room" in said


def test_crowded_strands_say_where_they_would_have_room() -> None:
    """61 about one of them lie in 9 diameters, packed in 8.662 (R. L. Graham et al. 1998, from memory)."""
    keys = {"strands": 61, "strand_diameter": "0.315 mm", "insulated_diameter": "0.35 mm"}
    said = made(**keys, outer_diameter="3.04 mm").sizes  # type: ignore[attr-defined]
    assert said.crowded
    needed = re.search(r"room in an outer_diameter of at least ([\d.]+ mm)", " ".join(said.assumed))
    assert needed is not None
    roomy = made(**keys, outer_diameter=needed[1]).sizes  # type: ignore[attr-defined]
    assert not roomy.crowded
    assert "crowded" not in " ".join(roomy.assumed)


@settings(max_examples=30, deadline=None)
@given(
    width=st.floats(2.2, 12.0), thickness=st.floats(1.05, 6.0), round_=st.floats(0, 0.4),
    layout=st.sampled_from([{}, {"layout": "hexagonal"}, {"layout": "square"}]),
)  # fmt: skip
def test_pressed_bundles(width: float, thickness: float, round_: float, layout: dict[str, str]) -> None:
    keys = {
        "strand_diameter": "0.1 mm", "insulated_diameter": "0.12 mm", "width": mm(0.12 * width),
        "thickness": mm(0.12 * thickness), "edge_radius": mm(round_ * 0.12 * min(width, thickness)),
    } | layout  # fmt: skip
    refused = refusal(strands=200, **keys)
    assert refused is not None
    if refused[0] == "strand_diameter":  # not even two
        return
    most = told(refused[1])
    more = refusal(strands=most + 1, **keys)
    assert more is not None
    assert told(more[1]) == most
    assert all(refusal(strands=n, **keys) is None for n in range(2, most + 1, 1 + most // 8))
    assert refusal(strands=most, **keys) is None
    needed = re.search(r"thickness of at least ([\d.]+ mm)", more[2])
    assert needed is not None
    assert refusal(strands=most + 1, **keys | {"thickness": needed[1]}) is None


@pytest.mark.parametrize("layout", [{}, {"layout": "hexagonal"}, {"layout": "square"}])
def test_drawings(tmp_path: Path, layout: dict[str, str]) -> None:
    file = tmp_path / "slot.svg"
    svg = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">{}</svg>'
    file.write_text(svg.format(f'<polygon points="{SLOT}"/>'), encoding="utf-8")
    keys = {"strand_diameter": "0.15 mm", "insulated_diameter": "0.16 mm", "file": str(file)} | layout
    refused = refusal(strands=400, **keys)
    assert refused is not None
    most = told(refused[1])
    assert 5.2 / 0.16**2 * 0.7 < most < 5.2 / 0.16**2 * 1.1547  # of an area of 5.2 mm2
    assert refusal(strands=most, **keys) is None
    more = refusal(strands=most + 1, **keys)
    assert more is not None
    assert told(more[1]) == most


@pytest.mark.parametrize(("groups", "inner"), [("5", 84), ("3 x 4", 35), ("7", 60)])
def test_constructions(groups: str, inner: int) -> None:
    keys = {"strand_diameter": "0.1 mm", "insulated_diameter": "0.12 mm", "outer_diameter": "2.5 mm"}
    refused = refusal(construction=f"{groups} x {inner}", **keys)
    assert refused is not None
    assert refused[0] == "construction"
    such = re.search(r'such as "([\dx ]+)"', refused[1])
    assert such is not None
    assert refusal(construction=such[1], **keys) is None
    *outer, last = such[1].split(" x ")
    assert refusal(construction=" x ".join((*outer, str(int(last) + 1))), **keys) is not None
    assert refusal(strands=told(refused[1]), **keys) is None
    assert refusal(strands=told(refused[1]) + 1, **keys) is not None


@pytest.mark.parametrize("layout", [{}, {"layout": "square"}, {"lay": "concentric"}])
@pytest.mark.parametrize("strands", [2, 4, 13, 37, 38, 92, 500])
def test_what_the_trade_fills_in_has_room(strands: int, layout: dict[str, str]) -> None:
    keys = {"strand_diameter": "0.1 mm", "insulated_diameter": "0.12 mm", "strands": strands} | layout
    outer = made(**keys).sizes.outer  # type: ignore[attr-defined]
    assert refusal(outer_diameter=at_least(outer).removeprefix("at least "), **keys) is None
    assert refusal(pitch="0.12 mm", **keys) is None
    refused = refusal(pitch="0.1199 mm", **keys)
    assert refused is not None
    assert refused[:2] == ("pitch", "at least 0.12 mm, a strand over its insulation")


@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
@given(outer=st.floats(0.1, 6.0))
def test_a_case_takes_what_the_command_proposes(outer: float) -> None:
    for one in choices(TRADE, MATERIALS["copper"], 20.0, 85e3, outer=outer * 1e-3):
        size = f"{one.bundle.diameter * 1e3:.4g} mm"
        assert refusal(strands=one.count, strand_diameter=f"{one.strand * 1e3:.4g} mm", outer_diameter=size) is None


def test_strands_too_thick_for_two_and_metal_askew() -> None:
    keys = {"strand_diameter": "0.1 mm", "insulated_diameter": "0.1 mm"}
    refused = refusal(strands=5, outer_diameter="0.15 mm", **keys)
    assert refused is not None
    assert refused[:2] == ("strand_diameter", "strands of which two have room in a circle of 0.15 mm")
    refused = refusal(strands=900, outer_diameter="3 mm", take_up=1.3, **keys)
    assert refused is not None
    most = told(refused[1])
    assert "with a take-up of 1.3, askew they are oval across" in refused[1]
    assert refusal(strands=most, outer_diameter="3 mm", take_up=1.3, **keys) is None
    assert refusal(strands=most + 1, outer_diameter="3 mm", take_up=1.3, **keys) is not None
    key, expected, _ = refusal(strands=200, pitch="0.1 mm", take_up=1.25, **keys) or ("", "", "")
    assert key == "pitch"
    pitch = re.match(r"at least ([\d.]+ mm)", expected)
    assert pitch is not None
    assert refusal(strands=200, pitch=pitch[1], take_up=1.25, **keys) is None


def test_only_the_fill_is_wrong(tmp_path: Path) -> None:
    """One fault, at the line of the number."""
    text = (
        '[frequency]\nat = ["85 kHz"]\n[[conductor]]\nname = "lead"\nshape = "bundle"\nmaterial = "copper"\n'
        'strand_diameter = "0.28 mm"\ninsulated_diameter = "0.301 mm"\nouter_diameter = "2.1 mm"\nstrands = 39\n'
        '[[circuit]]\nname = "feed"\ncurrent = "4 A"\nout = ["lead"]\n'
    )
    path = tmp_path / "case.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(CaseError) as caught:
        read_case(path)
    (one,) = caught.value.faults
    assert (one.line, one.key) == (10, "strands")
    path.write_text(text.replace("39", "38"), encoding="utf-8")
    read_case(path)


def test_bounds_that_can_be_typed() -> None:
    assert (at_least(1.23401e-3), at_most(1.23409e-3)) == ("at least 1.235 mm", "at most 1.234 mm")
    assert Circle(3e-3).most(1e-3, "any") == 7
    assert Bar(10e-3, 2.8e-3, 0.0, 28e-6).most(1e-3, "hexagonal") == 29
