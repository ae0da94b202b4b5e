"""The hand formulas that fit a problem: the surest one for each circuit, or for three phases together."""

from __future__ import annotations

from collections.abc import Callable

from .even_current import at_rest, loop_of_bars, three_bars
from .flat_formulas import facing_bars, stack_of_strips, strip_over_plane
from .hand_formula import HandFormula
from .problem import Problem
from .region_metals import surface_factor
from .round_formulas import (
    coaxial_line,
    rod_alone,
    three_wires,
    tubes_in_thick_skins,
    wires_in_thick_skins,
    wires_in_thin_skins,
)

FORMULAS: tuple[Callable[[Problem, float], HandFormula | None], ...] = (
    rod_alone,
    coaxial_line,
    wires_in_thick_skins,
    tubes_in_thick_skins,
    wires_in_thin_skins,
    three_wires,
    facing_bars,
    strip_over_plane,
    stack_of_strips,
    loop_of_bars,
    three_bars,
)


def hand_formulas(problem: Problem, frequency: float) -> list[HandFormula]:
    """Closed forms whose own error is small for a section; none where none fits.

    Parameters
    ----------
    problem : Problem
    frequency : float
        [Hz]

    Returns
    -------
    list of HandFormula
        At direct current of every circuit with conductors of its own. Else one at most: that which knows the
        resistance best, or if none does, the inductance.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import angle, round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> (found,) = hand_formulas(alone(round_bar(0.025)), 100e3)
    >>> round(found.resistance * 1e3, 4), found.exact
    (1.0593, True)
    >>> hand_formulas(alone(angle(0.04, 0.04, 0.01)), 100e3)
    []
    """
    driven = [c for c in problem.circuits if c.current]
    if any(c.strands or c.is_saturable for c in problem.conductors):
        return []  # all of them are of solid metal of constant permeability
    if frequency == 0:
        found = [at_rest(problem, circuit) for circuit in driven]
        return [kept for one in found if one and (kept := one.fitting())]
    if len(driven) < len(problem.circuits) or not driven:
        return []
    rough = max(abs(surface_factor(c, frequency, problem.roughness_model) - 1) for c in problem.conductors)
    known = [one.less_sure(rough) for form in FORMULAS if (one := form(problem, frequency))]
    fitting = [kept for one in known if (kept := one.fitting())]
    return sorted(fitting, key=_doubt)[:1]


def _doubt(found: HandFormula) -> tuple[bool, float, float]:
    """The smaller, the better."""
    return found.resistance is None, found.resistance_error, found.inductance_error
