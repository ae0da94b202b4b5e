"""The designs that no other one beats in both, against all pairs."""

from __future__ import annotations

from collections.abc import Sequence

from hypothesis import given
from hypothesis import strategies as st

from crosscurrent.studies.design import Design
from crosscurrent.studies.front import front, levels


def _design(number: int, loss: float, mass: float, verdict: str = "pass") -> Design:
    figures = {"loss_w_per_m": loss, "mass_kg_per_m": mass}
    return Design(str(number), {}, figures, {}, {}, {}, verdict)


@given(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9), st.booleans()), max_size=12))
def test_against_all_pairs(points: Sequence[tuple[int, int, bool]]) -> None:
    designs = [_design(k, x, y, "pass" if good else "fail") for k, (x, y, good) in enumerate(points)]
    sound = {(x, y) for x, y, good in points if good}
    best = {(x, y) for x, y in sound if not any(a <= x and b <= y and (a, b) != (x, y) for a, b in sound)}
    found = [(d.figures["loss_w_per_m"], d.figures["mass_kg_per_m"]) for d in front(designs, ("loss", "mass"))]
    assert found == sorted(best)


def test_what_another_all_but_equals_is_left_out_between_the_ends() -> None:
    """Two designs of nearly the same mass, one of them clearly worse: as searches below a level of mass leave them."""
    rows = [(83.4, 4.284), (103.9, 3.4142), (106.4, 3.4137), (207.8, 1.673), (249.9, 1.402), (250.0, 1.383)]
    found = front([_design(k, *row) for k, row in enumerate(rows)], ("loss", "mass"))
    assert [d.figures["loss_w_per_m"] for d in found] == [83.4, 103.9, 207.8, 250.0]
    assert len(front([_design(k, *row) for k, row in enumerate([(1.0, 3.0), (1.0001, 2.0)])], ("loss", "mass"))) == 2


def test_rounding_puts_no_design_on_the_front() -> None:
    """6 mm of 58 MS/m and 10 mm of 34.8 MS/m lose the same, whichever solve comes out lower."""
    for less in (1 - 1e-13, 1.0, 1 + 1e-13):
        designs = [_design(0, 143.7 * less, 4.267), _design(1, 143.7, 2.164)]
        for order in (designs, designs[::-1]):
            assert [d.figures["mass_kg_per_m"] for d in front(order, ("loss", "mass"))] == [2.164]


def test_levels_begin_below_themselves() -> None:
    designs = front([_design(k, 10 - k, float(k)) for k in range(11)], ("loss", "mass"))
    for start, level in levels(designs, "mass_kg_per_m", 4):
        assert 0 < level < 10
        assert level - 1 <= start.figures["mass_kg_per_m"] <= level
    assert not list(levels(designs[:1], "mass_kg_per_m", 4))
