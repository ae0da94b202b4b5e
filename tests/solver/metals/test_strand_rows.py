"""The medium in place of rows against rows solved for one by one, and against what strands are in thin rows."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.strand_rows import smooth_rows
from crosscurrent.solver.metals.strands import Strands, medium

RESISTIVITY, SPACING = 2.7e-8 + 0.4e-8j, 1e-4


def _rows(
    count: int, permeability: complex, frequency: float, sides: tuple[complex, complex]
) -> tuple[complex, complex]:
    """E at both faces of rows, each with one density, between two fields: Faraday's law from middle to middle."""
    turning = 2j * math.pi * frequency * MU0 * permeability
    system = np.zeros((count, count), dtype=complex)
    right = np.zeros(count, dtype=complex)
    for n in range(count - 1):
        # E(n + 1) - E(n) is j w times the flux between the middles: their means over each row, H a straight line
        system[n, n + 1] += RESISTIVITY / SPACING
        system[n, n] -= RESISTIVITY / SPACING
        system[n, :n] -= turning * SPACING
        system[n, n] -= turning * SPACING * 5 / 6
        system[n, n + 1] -= turning * SPACING / 6
        right[n] = turning * SPACING * sides[0]
    system[-1], right[-1] = 1.0, sides[1] - sides[0]
    current = np.linalg.solve(system, right)
    low = RESISTIVITY / SPACING * current[0] - turning * SPACING * (sides[0] / 2 + current[0] / 6)
    high = RESISTIVITY / SPACING * current[-1] + turning * SPACING * (sides[1] / 2 - current[-1] / 6)
    return complex(low), complex(high)


@pytest.mark.parametrize("sides", [(-1.0, 1.0), (1.0, 1.0), (0.3, -1.0 + 0.5j)])
@pytest.mark.parametrize("count", [1, 2, 9])
@pytest.mark.parametrize("frequency", [1e4, 3e5, 3e6])
def test_faces_of_rows_are_those_of_the_medium(
    frequency: float, count: int, sides: tuple[complex, complex]
) -> None:
    """A slab between two tangential fields (any textbook), with the factors of rows: E at both faces to rounding."""
    permeability = 0.95 - 0.17j
    medium_of = np.array([permeability]), np.array([RESISTIVITY])
    softer, thicker = (f[0] for f in smooth_rows(*medium_of, SPACING, np.array([frequency])))
    turning, zeta = 2j * math.pi * frequency * MU0 * permeability * softer, RESISTIVITY * thicker
    gamma = cmath.sqrt(turning / zeta)
    through, ends = gamma * count * SPACING, zeta * gamma
    low = ends * (sides[1] - sides[0] * cmath.cosh(through)) / cmath.sinh(through)
    high = ends * (sides[1] * cmath.cosh(through) - sides[0]) / cmath.sinh(through)
    np.testing.assert_allclose(_rows(count, permeability, frequency, sides), (low, high), rtol=1e-9)


def test_only_strands_that_share_as_the_field_asks_are_in_rows() -> None:
    area, found = 6e-6, {}
    for lay in ("straight", "transposed", "concentric"):
        found[lay] = medium(Strands(420, 1e-4, lay=lay), area, 58e6, 300e3)
    assert found["transposed"].rows is None
    assert found["concentric"].rows is None
    rows, other = found["straight"].rows, found["transposed"]
    assert rows is not None
    assert (rows.permeability, rows.impedance) == (other.permeability, other.impedance)
    assert abs(found["straight"].permeability / other.permeability - 1) > 1e-3
    assert medium(Strands(420, 1e-4, lay="straight"), area, 58e6, 0.0).permeability == 1


@pytest.mark.parametrize("length", [1.0, 2.5])
def test_rows_of_a_length(length: float) -> None:
    whole = medium(Strands(420, 1e-4, lay="straight"), 6e-6, 58e6, 300e3)
    part = whole.along(length)
    assert whole.rows is not None
    assert part.rows is not None
    assert part.rows.impedance == pytest.approx(length * whole.rows.impedance)
    assert part.impedance / whole.impedance == pytest.approx(part.rows.impedance / whole.rows.impedance)
