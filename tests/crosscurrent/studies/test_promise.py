"""Where searches begin: in the valley that a model of the known designs sees."""

from __future__ import annotations

import math

import numpy as np
import pytest

from crosscurrent.studies.design import Design
from crosscurrent.studies.plan import Range, fill
from crosscurrent.studies.promise import APART, promising

RANGES = (Range("x", 0.0, 1.0, "number"), Range("y", 0.0, 2.0, "number"))


def _design(x: float, y: float, loss: float, slope: tuple[float, float], margin: float = 0.0) -> Design:
    slopes = {"loss": dict(zip("xy", slope, strict=True))} if slope else {}
    return Design(f"{x} {y}", {"x": x, "y": y}, {"loss": loss}, {}, slopes, {"mass": margin}, "pass")


def _two_valleys(x: float, y: float) -> Design:
    """exp of (x - 0.15)^2 (x - 0.8)^2 and a fall along y: the deeper valley is at x = 0.15."""
    loss = math.exp(20 * (x - 0.15) ** 2 * (x - 0.8) ** 2 + 0.2 * x - 0.5 * y)
    along = 40 * (x - 0.15) * (x - 0.8) * (2 * x - 0.95) + 0.2
    return _design(x, y, loss, (loss * along, -0.5 * loss))


@pytest.mark.parametrize("seed", range(10))
def test_the_deeper_of_two_valleys(seed: int) -> None:
    designs = [_two_valleys(x, 2 * y) for x, y in fill(8, 2, seed)]
    starts = promising(designs, RANGES, "loss", 3)
    assert starts[0][1] > 1 - APART
    assert any(x == pytest.approx(0.15, abs=0.15) for x, _ in starts)
    assert all(math.dist(one, other) > APART for k, one in enumerate(starts) for other in starts[:k])


def test_inside_the_limits() -> None:
    """The loss falls along x, and a limit is broken beyond 0.6."""
    designs = [
        _design(x, 2 * y, 2 - x, (-1.0, 0.0), (x - 0.6) / 0.6) for x, y in fill(8, 2)
    ]
    designs = [Design(d.key, d.values, d.figures, {}, {**d.slopes, "margin mass": {"x": 1 / 0.6, "y": 0.0}}, d.margins,
                      "pass") for d in designs]  # fmt: skip
    first = promising(designs, RANGES, "loss", 1)[0]
    assert first[0] == pytest.approx(0.6, abs=0.05)


def test_without_slopes_and_below_zero() -> None:
    """Figures that have no logarithm, of designs whose slopes nobody knows."""
    designs = [Design(str(x), {"x": x, "y": 0.0}, {"loss": (x - 0.4) ** 2 - 1}, {}, {}, {}, "pass")
               for x in np.linspace(0, 1, 9).tolist()]  # fmt: skip
    assert promising(designs, RANGES[:1], "loss", 1)[0][0] == pytest.approx(0.4, abs=0.02)


def test_nothing_known() -> None:
    assert promising([], RANGES, "loss", 4) == fill(4, 2)
