"""Sizes of wire against the tables they stand for."""

from __future__ import annotations

import pytest

from crosscurrent.solver.metals.wire_tables import (
    WireError,
    enamelled_diameter,
    gauge_diameter,
    packing_factor,
    take_up_of_lay,
    usual_take_up,
)


@pytest.mark.parametrize(
    ("gauge", "thou"),  # ASTM B258, as its table rounds them (from memory)
    [(10, 101.9), (14, 64.1), (18, 40.3), (24, 20.1), (30, 10.0), (36, 5.0), (38, 4.0), (40, 3.1), (44, 2.0)],
)
def test_gauges(gauge: int, thou: float) -> None:
    assert gauge_diameter(gauge) / 25.4e-6 == pytest.approx(thou, abs=0.06)


@pytest.mark.parametrize("gauge", [9, 57, 0])
def test_gauges_of_no_strand(gauge: int) -> None:
    with pytest.raises(WireError, match=f"from AWG 10 to AWG 56, found AWG {gauge}$"):
        gauge_diameter(gauge)


@pytest.mark.parametrize(
    ("bare", "grade", "least", "largest"),  # makers' lists of enamelled wire to IEC 60317-0-1 (from memory) [mm]
    [(0.040, 1, 0.044, 0.049), (0.071, 1, 0.078, 0.084), (0.1, 1, 0.108, 0.117), (0.1, 2, 0.118, 0.125),
     (0.2, 1, 0.214, 0.226), (0.2, 2, 0.227, 0.239), (0.5, 2, 0.545, 0.566), (1.0, 1, 1.033, 1.062)],
)  # fmt: skip
def test_enamel(bare: float, grade: int, least: float, largest: float) -> None:
    over = enamelled_diameter(bare * 1e-3, "grade 1" if grade == 1 else "grade 2")
    assert over * 1e3 == pytest.approx((least + largest) / 2, abs=1e-7)


def test_enamel_between_the_rows_and_outside() -> None:
    """0.15 mm has 0.162 to 0.171 mm over grade 1 in the finer lists (from memory)."""
    assert enamelled_diameter(0.15e-3, "grade 1") == pytest.approx(0.1665e-3, rel=2e-3)
    with pytest.raises(WireError, match=r"found 0.019 mm$"):
        enamelled_diameter(0.019e-3, "grade 1")
    with pytest.raises(WireError, match=r"found 1.1 mm$"):
        enamelled_diameter(1.1e-3, "grade 2")


def test_practice_of_the_trade() -> None:
    assert [packing_factor(n) for n in (1, 7, 16, 19, 1000)] == [1.0, 1.25, 1.26, 1.27, 1.28]
    assert [usual_take_up(n) for n in (1, 2, 3, 4)] == [1.02, 1.04, 1.06, 1.06]
    assert take_up_of_lay(1e-3, 10e-3) == pytest.approx(1.025, abs=5e-4)  # at ten times the diameter
