"""Whether the picture behind the numbers holds: two-dimensional, quasi-static, linear."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from crosscurrent.geometries.plane.distance import closest_sides
from crosscurrent.solver.field.electrostatic import VACUUM, section_capacitance
from crosscurrent.solver.field.field_warning import FieldWarning
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.saturation import strong_field, strong_induction
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.metals.strand_groups import GroupSkin

from .bundles import bundle_members, group_answers, heat_as_laid, percent
from .units import concise

LIGHT = 299_792_458.0  # [m/s]
PART_OF_WAVELENGTH = 20
COLDEST, HOTTEST = -100.0, 400.0  # range of the linear law [degC]; common practice, no source
# crest of H above which the permeability of mild steel is no constant [A/m]; common practice, no source
SATURATION = 500.0
LONG = 0.3  # phase of a wave over a metre of the run, w sqrt(L C), above which a run of a metre is long [rad/m]
FREE_PATH = (
    39.9e-9  # of electrons in copper at room temperature [m]; D. Gall, J. Appl. Phys. 119, 085101, 2016 (from memory)
)
FREE_PATHS = 16  # skin depths shorter than this many free paths conduct visibly worse (copper above about 10 GHz)
BUNCHED = 0.005  # share of a bundle's loss that its lay may add unsaid
_RULE = "4 skin depths squared over strand diameter squared, Sullivan and Zhang 2014"
THIN_COAT = (
    0.5e-6  # plating thinner than this conducts worse than bulk by an unknown amount [m]; common practice, no source
)


@dataclass(frozen=True, eq=False)
class ValidityWatch:
    """Asks at every frequency of one run whether the picture holds; a capacitance it needs is found once.

    Attributes
    ----------
    length : float or None
        Of the run [m].
    capacitances : dict of str to float
        What was found so far, by circuit, in air [F/m]; the section is the same at all frequencies of a run.
    guesses : dict of str to float
        The same, guessed from the narrowest gaps.
    """

    length: float | None = None
    capacitances: dict[str, float] = field(default_factory=dict)
    guesses: dict[str, float] = field(default_factory=dict)

    def warnings(self, solution: Solution) -> tuple[FieldWarning, ...]:
        """What the reader must know before using the numbers of one frequency."""
        found = [*_wavelengths(solution, self.length)]
        for watch in (_hot, _short_skin, _thin_coats, _rough, self._gaps, _saturation, _bunched):
            found += watch(solution)
        return tuple(found)

    def _gaps(self, solution: Solution) -> Iterator[FieldWarning]:
        """Warn where the current through a gap's capacitance is no longer small against a circuit's own."""
        omega = 2 * np.pi * solution.frequency
        for circuit in solution.problem.circuits if not solution.problem.axial else ():
            impedance = abs(solution.fine.circuit(circuit) / circuit.current) if circuit.current else 0.0
            # a guess of the capacitance per metre, the facing widths at the narrowest gap, spares most the real one
            if circuit.name not in self.guesses:
                self.guesses[circuit.name] = _guessed_capacitance(solution.problem, circuit)
            guess = self.guesses[circuit.name]
            if max(np.sqrt(impedance * omega * guess), omega / LIGHT) < 0.5 * LONG or not circuit.back:
                continue
            if circuit.name not in self.capacitances:
                self.capacitances[circuit.name] = _capacitance(solution.problem, circuit)
            capacitance = self.capacitances[circuit.name]
            if np.sqrt(impedance * omega * capacitance) > LONG:
                text = (
                    f'the capacitance between the conductors of "{circuit.name}" ({capacitance * 1e12:.3g} pF/m '
                    "in air) takes a current that grows along a run of more than a few tenths of a metre: the figures "
                    "per metre hold for shorter runs only"
                )
                yield FieldWarning("capacitance", text, circuit.name)


def _guessed_capacitance(problem: Problem, circuit: Circuit) -> float:
    """Half the smaller perimeter over the narrowest gap, of every pair of conductors out and back [F/m]."""
    outlines = {c.name: c.part.shape.outer for c in problem.conductors}
    capacitance = 0.0
    for a in circuit.out:
        for b in circuit.back:
            gap = closest_sides(outlines[a], outlines[b])[0]
            facing = 0.5 * min(outlines[a].perimeter, outlines[b].perimeter)
            capacitance += VACUUM * facing / gap
    return capacitance


def _capacitance(problem: Problem, circuit: Circuit) -> float:
    number = {c.name: k for k, c in enumerate(problem.conductors)}
    out, back = (tuple(number[name] for name in group) for group in (circuit.out, circuit.back))
    return section_capacitance(problem.section, out, back, 1e-3).value


def _wavelengths(solution: Solution, length: float | None) -> Iterator[FieldWarning]:
    """Warn where the section, or the run, is no longer short against the wavelength, or the run is too short."""
    section = solution.problem.section
    wavelength = LIGHT / solution.frequency if solution.frequency else np.inf
    if section.size > wavelength / PART_OF_WAVELENGTH:
        text = (
            f"the section measures {section.size:.3g} m, more than a twentieth of the wavelength "
            f"({wavelength:.3g} m at {concise(solution.frequency, 'Hz')}): displacement current, left out here, is "
            "not small"
        )
        yield FieldWarning("size of the section", text)
    elif length and length > wavelength / PART_OF_WAVELENGTH:
        text = (
            f"the run is {length:.3g} m long, more than a twentieth of the wavelength ({wavelength:.3g} m at "
            f"{concise(solution.frequency, 'Hz')}): current and voltage change along it as on a line; figures per "
            "metre hold"
        )
        yield FieldWarning("long run", text)
    if length and length < 3 * section.size:
        text = (
            f"the run of {length:.3g} m is short against the section's {section.size:.3g} m: the field at its ends, "
            "which a cross-section cannot show, adds to the figures per metre"
        )
        yield FieldWarning("short run", text)


def _hot(solution: Solution) -> Iterator[FieldWarning]:
    """Warn where the linear law of resistivity, or the permeability, is no longer that of the metal."""
    for c in solution.problem.conductors:
        if COLDEST <= c.temperature <= HOTTEST:
            continue
        doubts = []
        if any(m.temperature_coefficient for m in c.metals):
            doubts.append(
                f"a resistivity linear in temperature is trusted from {COLDEST:g} to {HOTTEST:g} degC only"
            )
        if c.temperature > HOTTEST and any(m.is_magnetic for m in c.metals):
            doubts.append("magnetic metals lose their permeability when red hot")
        if doubts:
            yield FieldWarning("heat", f'"{c.name}" is at {c.temperature:g} degC: {", and ".join(doubts)}', c.name)


def _short_skin(solution: Solution) -> Iterator[FieldWarning]:
    """Warn where the skin is so thin that electrons cross it between collisions."""
    for c in solution.problem.conductors:
        depth = min(m.skin_depth(solution.frequency, c.temperature) for m in c.metals)
        if depth < FREE_PATHS * FREE_PATH:
            text = (
                f'the skin of "{c.name}" is {depth * 1e6:.2g} um deep, no longer large against the free path of the '
                "electrons (about 0.04 um in copper at room temperature): the true resistance is higher than computed"
            )
            yield FieldWarning("thin skin", text, c.name)


def _thin_coats(solution: Solution) -> Iterator[FieldWarning]:
    for c in solution.problem.conductors:
        for metal, thickness in zip((*c.coats, *c.bore_coats), c.part.layers, strict=True):
            if thickness < THIN_COAT:
                text = (
                    f'the {metal.name} on "{c.name}" is {thickness * 1e6:.2g} um thick: layers thinner than about '
                    "half a micrometre conduct worse than the bulk metal, and the figures take the bulk value"
                )
                yield FieldWarning("thin coat", text, f"{metal.name} on {c.name}")


def _rough(solution: Solution) -> Iterator[FieldWarning]:
    """Warn where the roughness is no small thing on the part or its outermost coat."""
    for c in solution.problem.conductors:
        room = min([c.part.inscribed_radius, *c.part.coats[-1:]])
        if c.roughness > 0.1 * room:
            text = (
                f'the roughness of "{c.name}" (Rq {concise(c.roughness, "m", 3)}) is more than a tenth of the metal it '
                f"is on ({concise(room, 'm', 3)}): the models know rough surfaces of thick metal only"
            )
            yield FieldWarning("roughness", text, c.name)


def _saturation(solution: Solution) -> Iterator[FieldWarning]:
    """Warn where the field in magnetic metal would saturate it, corners apart."""
    for number, conductor in enumerate(solution.problem.conductors):
        limits = [metal.saturation for metal in conductor.metals if metal.saturation is not None]
        if limits:
            yield from _beyond(solution, number, min(limits))
        if limits or not conductor.is_strongly_magnetic or conductor.is_saturable:
            continue  # with a magnetisation curve it is solved for
        crest = strong_field(solution.fine, number)
        if crest is not None and crest > SATURATION:
            text = (
                f'the field in "{conductor.name}" exceeds {crest / 1e3:.2g} kA/m (crest) where a tenth of its magnetic '
                "energy is: its metal is likely to saturate, and a constant permeability is a guess; try a high and a "
                "low one"
            )
            yield FieldWarning("saturation", text, conductor.name)


def _beyond(solution: Solution, number: int, limit: float) -> Iterator[FieldWarning]:
    """Warn where B in ferrite and the like is beyond what its permeability holds for [T], corners apart."""
    crest = strong_induction(solution.fine, number)
    if crest is not None and crest > limit:
        name = solution.problem.conductors[number].name
        text = (
            f'"{name}" saturates: B exceeds {crest:.2g} T (crest) where a tenth of its magnetic energy is, the limit '
            f"is {limit:.2g} T; its permeability falls there, and the answers with it: take more of it or less current"
        )
        yield FieldWarning("saturation", text, name)


def _bunched(solution: Solution) -> Iterator[FieldWarning]:
    """Warn where a group of strands is so large that it shows a skin of its own unless it is transposed."""
    flow = solution.fine
    (groups,) = group_answers(solution.problem, np.array([solution.frequency]))
    heat = heat_as_laid(solution.problem, solution.frequency, flow.currents, flow.powers.real)
    for name, members in bundle_members(solution.problem).items():
        group, more = groups[name], float(heat[members[0]]) - 1
        if group is not None and group.too_large and more > BUNCHED:
            higher = f"the loss is up to {percent(more)} higher than computed"
            said = _bunch(name, group, solution.frequency) if len(group.levels) == 1 else _strand(name, group)
            yield FieldWarning("groups of strands", f"{said}, {higher}; {_better(group)}", name, more)


def _bunch(name: str, group: GroupSkin, frequency: float) -> str:
    """Strands that are bunched."""
    return (
        f'{group.size} strands of "{name}" are twisted into one group, where {group.largest} may be at '
        f"{concise(frequency, 'Hz')}, and so many up to {_up_to(group)} ({_RULE}): as far as they keep "
        "their place in it"
    )


def _strand(name: str, group: GroupSkin) -> str:
    """Groups that are laid together."""
    groups, each = group.levels[0], group.size // group.levels[0]
    return (
        f'{groups} groups of {each} strands of "{name}" are twisted together at once, some of them inside the others, '
        f"and {group.size} strands together have a skin of their own above {_up_to(group)} ({_RULE}): as far as the "
        "groups keep their place"
    )


def _up_to(group: GroupSkin) -> str:
    return concise(float(f"{group.up_to:.3g}"), "Hz")


def _better(group: GroupSkin) -> str:
    most, bunched = group.largest, group.levels[-1]
    if most < 2:
        return "take thinner strands"
    if len(group.levels) == 1:
        return f"strand it from groups of {most} or fewer, five or fewer at a time"
    smaller = f"; bunch {most} strands or fewer, not {bunched}" if bunched > most else ""
    return f"strand five groups or fewer at a time, which lie alike round their middle{smaller}"
