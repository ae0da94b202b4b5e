"""Temperatures as a page shows them."""

from pathlib import Path

import numpy as np
import pytest

from crosscurrent.casefile.reader import case_of, read_case
from crosscurrent.page.warmth import NOTHING, warmth
from crosscurrent.postprocess.answers.cautions import HOT, WATER
from crosscurrent.run import one_frequency
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS

ROD = """
[frequency]
at = ["0 Hz"]

[cooling]
ambient = "35 degC"
finish = "oxidised"

[[conductor]]
name = "rod"
shape = "round"
diameter = "20 mm"
material = "copper"

[[circuit]]
name = "feed"
current = "800 A"
out = ["rod"]
"""


def test_a_rod_is_warmest_in_its_middle() -> None:
    case = case_of(ROD.encode(), Path("rod.toml"))
    solution = one_frequency(case, 0.0, (0.0, 1.0), lambda *_: None)
    head, payload = warmth(case, solution)
    points = np.frombuffer(payload, dtype=np.float32).reshape(-1, 4)
    away, warm = np.hypot(points[:, 0], points[:, 1]), points[:, 2].astype(float)
    heat, k = float(solution.fine.powers[0].real), MATERIALS["copper"].thermal_conductivity
    assert k is not None
    # a rod heated evenly: T(r) = T(0) - q r^2 / (4 k), H. S. Carslaw and J. C. Jaeger, 7.2, from memory
    np.testing.assert_allclose(warm.max() - warm, heat / (4 * np.pi * k) * (away / 0.010) ** 2, atol=2e-5)
    row = head["rows"][0]
    assert row["low"] < head["field"]["high"] == pytest.approx(row["hottest"], abs=1e-3)
    assert row["hottest"] < row["high"]
    assert HOT in head["cautions"]
    assert any("air and surroundings at 35 degC" in words for words in head["said"])


def test_a_current_that_nothing_holds_is_told() -> None:
    case = case_of(ROD.replace("800 A", "20 kA").encode(), Path("rod.toml"))
    head, payload = warmth(case, solve(case.problem(), 0.0))
    assert "stable" in head["why"]
    assert not payload


def test_metal_in_water_is_even() -> None:
    case = read_case("cases/water-cooled-feed.toml")
    head, _ = warmth(case, one_frequency(case, 85e3, (0.0, 1.0), lambda *_: None))
    first, second = (row["hottest"] for row in head["rows"])
    assert 28.0 < first < second < 100.0  # from the inlet through one and back through the other
    assert (head["field"]["low"], head["field"]["high"]) == pytest.approx((first, second))
    assert set(WATER) <= set(head["cautions"])


def test_nothing_takes_the_heat_away() -> None:
    case = read_case("cases/rod-100khz.toml")
    assert warmth(case, solve(case.problem(), 50.0)) == ({"why": NOTHING}, b"")
