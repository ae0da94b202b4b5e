"""The numbers of many frequencies of a sweep: their fields are read from the reduced basis many at a time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from crosscurrent.solver.band.sweep import Sweep
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.strand_density import StrandDensity, StrandSites, strand_density
from crosscurrent.solver.field.strand_shares import has_places, outline_harmonics, shared

from .answers import Answers, answers_with
from .bundles import group_answers
from .faces import CrowdingReader
from .mesh_parts import MeshParts

AT_ONCE = 2_000_000  # values of fields worked on together


def sweep_answers(sweep: Sweep, numbers: Sequence[int]) -> Iterator[Answers]:
    """`answers` of the frequencies of some numbers, one after the other.

    Parameters
    ----------
    sweep : Sweep
    numbers : sequence of int
        Of the frequencies, in any order.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.band.sweep import sweep
    >>> from crosscurrent.solver.field.alone import alone
    >>> found = sweep(alone(round_bar(0.010), 100.0), [50.0, 500.0])
    >>> [round(point.total_loss, 3) for point in sweep_answers(found, [1, 0])]
    [2.525, 2.199]
    """
    if not numbers:
        return
    parts = MeshParts.of(sweep.fine.flow(numbers[0]))
    d = parts.discretisation
    places = sum(len(rows) * len(at) for c in parts.conductors for rows, at in c.split.groups)
    readers = {
        k: CrowdingReader.of(d, parts.conductors[k])
        for k, conductor in enumerate(sweep.problem.conductors)
        if conductor.strands is None
    }
    strands, sites = _strands(sweep, numbers), _sites(sweep, d)
    step = max(1, AT_ONCE // max(places, d.elements.count, *(at.where.size for at in sites.values())))
    groups = dict(zip(numbers, group_answers(sweep.problem, sweep.frequency[list(numbers)]), strict=True))
    for first in range(0, len(numbers), step):
        block = numbers[first : first + step]
        electric = sweep.fine.electric_fields(block)
        crowds = {c: reader.read(electric) for c, reader in readers.items()}
        sought = {c: at for c, at in sites.items() if any(c not in strands.get(number, {}) for number in block)}
        potential = sweep.fine.potentials(block) if sought else electric
        fields = {c: at.read(d, electric, potential) for c, at in sought.items()}
        for k, number in enumerate(block):
            solution, known = sweep.solution(number), strands.get(number, {})
            for c in sought.keys() - known.keys():
                own = strand_density(solution.fine, c, sites[c], tuple(of[k] for of in fields[c]))
                known |= {c: own} if own else {}
            yield answers_with(solution, parts, {c: crowd[k] for c, crowd in crowds.items()}, known, groups[number])


def _sites(sweep: Sweep, d: Discretisation) -> dict[int, StrandSites]:
    """Of bundles that count as one medium, by conductor."""
    conductors = enumerate(sweep.problem.conductors)
    return {k: StrandSites.of(d, c, k) for k, c in conductors if c.strands is not None}


def _strands(sweep: Sweep, numbers: Sequence[int]) -> dict[int, dict[int, StrandDensity]]:
    """Bundles whose strands have known places, by frequency and conductor; none at rest."""
    found: dict[int, dict[int, StrandDensity]] = {}
    at = [number for number in numbers if sweep.frequency[number] > 0]
    for conductor in range(len(sweep.problem.conductors) if at else 0):
        if has_places(sweep.problem, conductor):
            first, second = (
                flows.electric_sums(outline_harmonics(flows.model.discretisation, sweep.problem, conductor))[at]
                for flows in (sweep.fine, sweep.coarse)
            )
            total, frequency = sweep.fine.currents[at, conductor], sweep.frequency[at]
            every = shared(sweep.problem, conductor, frequency, (first, second), total)
            for number, one in zip(at, every, strict=True):
                found.setdefault(number, {})[conductor] = one
    return found
