"""Whether the picture behind the numbers holds: two-dimensional, quasi-static, linear."""

from __future__ import annotations

import numpy as np

from ..geometries.distance import closest_sides
from ..solver.electrostatic import VACUUM, section_capacitance
from ..solver.materials import MU0
from ..solver.solve import Solution
from .units import concise

LIGHT = 299_792_458.0  # [m/s]
PART_OF_WAVELENGTH = 20
COLDEST, HOTTEST = -100.0, 400.0  # range of the linear law [degC]; common practice, no source
# peak H above which the permeability of mild steel is no constant [A/m]; common practice, no source
SATURATION = 500.0
LONG = 0.3  # phase of a wave over a metre of the run, w sqrt(L C), above which a run of a metre is long [rad/m]
FREE_PATH = (
    39.9e-9  # of electrons in copper at room temperature [m]; D. Gall, J. Appl. Phys. 119, 085101, 2016 (from memory)
)
FREE_PATHS = 16  # skin depths shorter than this many free paths conduct visibly worse (copper above about 10 GHz)
THIN_COAT = (
    0.5e-6  # plating thinner than this conducts worse than bulk by an unknown amount [m]; common practice, no source
)


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
            f"({wavelength:.3g} m at {concise(solution.frequency, 'Hz')}): displacement current, left out here, is "
            "not small"
        )
    elif length and length > wavelength / PART_OF_WAVELENGTH:
        warnings.append(
            f"the run is {length:.3g} m long, more than a twentieth of the wavelength ({wavelength:.3g} m at "
            f"{concise(solution.frequency, 'Hz')}): current and voltage change along it as on a line; figures per "
            "metre hold"
        )
    if length and length < 3 * section.size:
        warnings.append(
            f"the run of {length:.3g} m is short against the section's {section.size:.3g} m: the field at its ends, "
            "which a cross-section cannot show, adds to the figures per metre"
        )
    watches = (_hot, _short_skin, _thin_coats, _rough, _gaps, _saturation)
    return (*warnings, *(text for watch in watches for text in watch(solution)))


def _hot(solution: Solution) -> list[str]:
    """Warn where the linear law of resistivity, or the permeability, is no longer that of the metal."""
    found = []
    for c in solution.problem.conductors:
        if not COLDEST <= c.temperature <= HOTTEST:
            found.append(
                f'"{c.name}" is at {c.temperature:g} degC: a resistivity linear in temperature is trusted from '
                f"{COLDEST:g} to {HOTTEST:g} degC only, and magnetic metals lose their permeability when red hot"
            )
    return found


def _short_skin(solution: Solution) -> list[str]:
    """Warn where the skin is so thin that electrons cross it between collisions."""
    found = []
    for c in solution.problem.conductors:
        depth = min(m.skin_depth(solution.frequency, c.temperature) for m in c.metals)
        if depth < FREE_PATHS * FREE_PATH:
            found.append(
                f'the skin of "{c.name}" is {depth * 1e6:.2g} um deep, no longer large against the free path of the '
                "electrons (about 0.04 um in copper at room temperature): the true resistance is higher than computed"
            )
    return found


def _thin_coats(solution: Solution) -> list[str]:
    found = []
    for c in solution.problem.conductors:
        for metal, thickness in zip((*c.coats, *c.bore_coats), c.part.layers, strict=True):
            if thickness < THIN_COAT:
                found.append(
                    f'the {metal.name} on "{c.name}" is {thickness * 1e6:.2g} um thick: layers thinner than about '
                    "half a micrometre conduct worse than the bulk metal, and the figures take the bulk value"
                )
    return found


def _rough(solution: Solution) -> list[str]:
    """Warn where the roughness is no small thing on the part or its outermost coat."""
    found = []
    for c in solution.problem.conductors:
        room = min([c.part.shape.outer.inscribed_radius, *c.part.coats[-1:]])
        if c.roughness > 0.1 * room:
            found.append(
                f'the roughness of "{c.name}" (Rq {concise(c.roughness, "m", 3)}) is more than a tenth of the metal it '
                f"is on ({concise(room, 'm', 3)}): the models know rough surfaces of thick metal only"
            )
    return found


def _gaps(solution: Solution) -> list[str]:
    """Warn where the current through a gap's capacitance is no longer small against a circuit's own."""
    omega, found = 2 * np.pi * solution.frequency, []
    conductors = {c.name: c.part.shape.outer for c in solution.problem.conductors}
    number = {name: k for k, name in enumerate(conductors)}
    for circuit in solution.problem.circuits:
        impedance = abs(solution.fine.circuit(circuit) / circuit.current) if circuit.current else 0.0
        # a guess of the capacitance per metre, the facing widths at the narrowest gap, spares most the real one
        capacitance = 0.0
        for a in circuit.out:
            for b in circuit.back:
                gap = closest_sides(conductors[a], conductors[b])[0]
                facing = 0.5 * min(conductors[a].perimeter, conductors[b].perimeter)
                capacitance += VACUUM * facing / gap
        if max(np.sqrt(impedance * omega * capacitance), omega / LIGHT) < 0.5 * LONG or not circuit.back:
            continue
        out, back = (tuple(number[name] for name in group) for group in (circuit.out, circuit.back))
        capacitance = section_capacitance(solution.problem.section, out, back, 1e-3).value
        if np.sqrt(impedance * omega * capacitance) > LONG:
            found.append(
                f'the capacitance between the conductors of "{circuit.name}" ({capacitance * 1e12:.3g} pF/m '
                "in air) takes a current that grows along a run of more than a few tenths of a metre: the figures per "
                "metre hold for shorter runs only"
            )
    return found


def _saturation(solution: Solution) -> list[str]:
    """Warn where the field at the surface of magnetic metal would saturate it."""
    found = []
    flow = solution.fine
    d = flow.discretisation
    places = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [0.5, 0.0], [0.5, 0.5], [0.0, 0.5]])
    for number, conductor in enumerate(solution.problem.conductors):
        if max(m.permeability for m in conductor.metals) < 10:
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
