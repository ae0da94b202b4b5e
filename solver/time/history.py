"""A current in time followed through a section: currents, losses, heat and forces of its conductors."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray
from crosscurrent.solver.band.krylov import SweepError
from crosscurrent.solver.band.regrouped import by_circuits
from crosscurrent.solver.band.sweep import Sweep
from crosscurrent.solver.metals.band_medium import BandMedium

from .excitation import Excitation
from .induced import with_induced
from .transient import Transient

NODES, WEIGHTS = np.polynomial.legendre.leggauss(5)
BLOCK = 8192  # times whose fields are held at once


@dataclass(frozen=True, eq=False)
class FaultHistory:
    """What a current in time does to the conductors of a section; momentary values.

    Attributes
    ----------
    transient : Transient
    times : (m,) float
        [s]; closer together after a sudden change.
    drive : (m, circuits) float
        [A]
    currents : (m, conductors) float
        [A]
    losses : (m, conductors) float
        [W/m]
    energy : (m, conductors) float
        Heat left in every conductor since t = 0 [J/m].
    force : (m, conductors, 2) float
        [N/m]
    heating : (points,) float
        Heat per volume at the corners of the mesh, before any of it spreads [J/m3].
    error : float
        Relative bound on the energies: that of the resistances over the band, for the energy of a current is its
        spectrum weighted with them (Parseval).
    force_error : float
        Bound on the error of any force over the largest one.
    """

    transient: Transient
    times: FloatArray
    drive: FloatArray
    currents: FloatArray
    losses: FloatArray
    energy: FloatArray
    force: FloatArray
    heating: FloatArray
    error: float
    force_error: float

    @property
    def resolved(self) -> BoolArray:
        """Which times the band resolves, (m,): before 1 / (2 pi f) of its highest frequency it says little."""
        return np.asarray(self.times >= 1 / (2 * math.pi * float(self.transient.sweep.frequency.max())))

    @property
    def hot_spots(self) -> tuple[FloatArray, FloatArray]:
        """Largest heat per volume of every conductor over its mean, (conductors,), and where, (conductors, 2) [m]."""
        mesh = self.transient.sweep.fine.model.discretisation.mesh
        found, places = [], []
        for number, conductor in enumerate(self.transient.sweep.problem.conductors):
            inside = np.unique(mesh.triangles[mesh.part == number])
            top = inside[self.heating[inside].argmax()]
            mean = self.energy[-1, number] / conductor.part.area
            found.append(float(self.heating[top] / mean) if mean > 0 else 0.0)
            places.append(mesh.points[top])
        return np.array(found), np.array(places)


def fault_history(
    sweep: Sweep, circuit: str | Sequence[str], excitation: Excitation | Sequence[Excitation]
) -> FaultHistory:
    """Follow a current in time through a section; the circuits not named carry none but what shorted ones answer.

    Parameters
    ----------
    sweep : Sweep
        Of a band that holds the current's spectrum.
    circuit : str or sequence of str
        Circuits that carry a current.
    excitation : Excitation or one for each of them

    Raises
    ------
    SweepError
        An unknown circuit, a bundle of straight lay as one medium, ferrite, or a current of too many
        periods.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.time.excitation import step
    >>> from crosscurrent.solver.band.sweep import sweep
    >>> from crosscurrent.solver.field.alone import alone
    >>> band = sweep(alone(round_bar(0.010)), [1.0, 1e5])
    >>> late = fault_history(band, "feed", step(1000.0, 1.0))
    >>> round(float(late.energy[-1, 0]), 2)  # 219.52 W/m for a second, and a little for the skin at first
    219.55
    """
    known = [c.name for c in sweep.problem.circuits]
    names = [circuit] if isinstance(circuit, str) else list(circuit)
    waves = [excitation] * len(names) if isinstance(excitation, Excitation) else list(excitation)
    if unknown := [n for n in names if n not in known]:
        raise SweepError(f'a current in time: expected circuits among {", ".join(known)}, found "{unknown[0]}"')
    if why := _unknown_in_time(sweep):
        raise SweepError(why)
    by_name = dict(zip(names, waves, strict=True))
    seen = by_circuits(sweep)
    given = Transient(seen, tuple(by_name.get(n) for n in known))
    transient = Transient(seen, with_induced(seen, given.excitations, given.excess))
    size = np.hypot(*np.moveaxis(sweep.fine.force, -1, 0)).max(axis=1)
    apart = float((sweep.force_errors.max(axis=1) / np.where(size > 0, size, np.inf)).max())
    edges = transient.edges
    heat, heating = _heat(transient, edges)
    here = [transient.at(edges[k : k + BLOCK]) for k in range(0, len(edges), BLOCK)]
    drive, currents, losses, force = (
        np.concatenate([getattr(part, name) for part in here]) for name in ("drive", "currents", "losses", "force")
    )
    energy = np.concatenate((np.zeros((1, heat.shape[1])), np.cumsum(heat, axis=0)))
    return FaultHistory(
        transient, edges, drive, currents, losses, energy, force, heating, _missed(transient), apart
    )


def _unknown_in_time(sweep: Sweep) -> str | None:
    """Why a current in time cannot be followed."""
    followed = sweep.fine.model.basis.matrices.sharing
    if any(isinstance(one.medium, BandMedium) for one in followed):
        return (
            "a current in time: expected strands whose lay spreads the current, found a bundle of straight lay as one "
            "medium: how its strands share the current changes with frequency and with the field of all others, known "
            'frequency by frequency only; state lay = "transposed" or "concentric", or 37 strands at most'
        )
    if followed:
        conductor = sweep.fine.model.discretisation.mesh.part_of_region[followed[0].region]
        return (
            f'a current in time: expected metals of constant permeability, found "{sweep.problem.names[conductor]}", '
            "which does not conduct or has a permeability with loss, known frequency by frequency only; leave it out, "
            "or ask for single frequencies"
        )
    return None


def _missed(transient: Transient) -> float:
    """Relative bound on the energies; of strands also their edges, and what their cells miss."""
    sweep = transient.sweep
    found = float(sweep.bounds.max())
    if transient.excess:
        cells = max(one.error for one in transient.excess.values())
        found = max(found, *(float(sweep.circuit_errors(c)[0].max()) for c in sweep.problem.circuits if c.current))
        found += cells
    return found


def _heat(transient: Transient, edges: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Heat of every conductor between the edges (panels, conductors) [J/m], and per volume in all (points,) [J/m3]."""
    rows, density = [], np.zeros(0)
    for first in range(0, len(edges) - 1, BLOCK // len(NODES)):
        part = edges[first : first + BLOCK // len(NODES) + 1]
        length = np.diff(part)[:, None]
        within = transient.at((part[:-1, None] + 0.5 * (1 + NODES) * length).ravel())
        weights = (0.5 * WEIGHTS * length).ravel()
        rows.append((within.losses * weights[:, None]).reshape(len(length), len(NODES), -1).sum(axis=1))
        found = within.heating(weights)
        density = density + found if len(density) else found
    return np.concatenate(rows), density


def at_frequency(sweep: Sweep, circuit: Sequence[str], currents: Sequence[complex], frequency: float) -> Sweep:
    """The steady state at one frequency of the same band, with currents [A rms] in some circuits and none in others."""
    given = dict(zip(circuit, currents, strict=True))
    circuits = tuple(replace(c, current=given.get(c.name, 0j)) for c in sweep.problem.circuits)
    return replace(sweep, problem=replace(sweep.problem, circuits=circuits)).at([frequency])
