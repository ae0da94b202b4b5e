"""Whether the picture behind the numbers holds: two-dimensional, quasi-static, linear."""

from __future__ import annotations

import numpy as np

from ..solver.flow import Flow
from ..solver.materials import MU0
from ..solver.solve import Solution

LIGHT = 299_792_458.0  # [m/s]
PART_OF_WAVELENGTH = 20
SATURATION = 500.0  # peak H above which the permeability of mild steel is no constant [A/m]; common practice, no source


def validity_warnings(solution: Solution, length: float | None = None) -> tuple[str, ...]:
    """What the reader must know before using the numbers.

    Parameters
    ----------
    solution : Solution
    length : float, optional
        Of the run [m].
    """
    section, warnings = solution.problem.section, []
    wavelength = LIGHT / solution.frequency if solution.frequency else np.inf
    if section.size > wavelength / PART_OF_WAVELENGTH:
        warnings.append(
            f"the section measures {section.size:.3g} m, more than a twentieth of the wavelength "
            f"({wavelength:.3g} m at {solution.frequency:g} Hz): displacement current, left out here, is not small"
        )
    elif length and length > wavelength / PART_OF_WAVELENGTH:
        warnings.append(
            f"the run is {length:.3g} m long, more than a twentieth of the wavelength ({wavelength:.3g} m at "
            f"{solution.frequency:g} Hz): current and voltage change along it as on a line; figures per metre hold"
        )
    if length and length < 3 * section.size:
        warnings.append(
            f"the run of {length:.3g} m is short against the section's {section.size:.3g} m: the field at its ends, "
            "which a cross-section cannot show, adds to the figures per metre"
        )
    return (*warnings, *_saturation(solution.fine, solution))


def _saturation(flow: Flow, solution: Solution) -> list[str]:
    """Warn where the field at the surface of magnetic metal would saturate it."""
    found = []
    d = flow.discretisation
    places = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [0.5, 0.0], [0.5, 0.5], [0.0, 0.5]])
    for number, conductor in enumerate(solution.problem.conductors):
        if max(m.permeability for m in (conductor.material, *conductor.coats)) < 10:
            continue
        rows = [k for k, (part, _) in enumerate(d.mesh.regions) if part == number and d.metals[k].permeability > 10]
        inside = np.flatnonzero(np.isin(d.mesh.region, rows))
        gradient = d.elements.gradient(flow.potential, inside, places)
        strength = np.sqrt(2 * (np.abs(gradient) ** 2).sum(axis=-1)) * (d.reluctivity[inside] / MU0)[:, None]
        peak = float(np.quantile(strength, 0.99))  # a sharp corner alone is no reason
        if peak > SATURATION:
            found.append(
                f'the field at the surface of "{conductor.name}" reaches {peak / 1e3:.2g} kA/m (peak): its metal is '
                "likely to saturate, and a constant permeability is a guess; try a high and a low one"
            )
    return found
