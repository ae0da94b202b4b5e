"""How resistance, inductance and loss change with anything of a problem, from the fields that were solved for.

No further solve: what a small change does is a dot product with what `slope_forms` finds on walls and in regions. The
forms are the derivative of the discrete impedance, so a slope is as accurate as the impedance itself; its bar is the
change from one order to the next.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.geometries.meshing.motion import Walls
from crosscurrent.solver.elements.factor import one_thread
from crosscurrent.solver.elements.following import Following
from crosscurrent.solver.elements.operators import Elements

from .beams import peak_errors
from .changes import Change, Differences
from .conductor_forms import ConductorForms
from .peak_force import PeakPlaces, peaks, strands_of
from .problem import Problem
from .slope_forms import GivenFields, SlopeForms, Weighing
from .solution import Solution

BAR = 4.0  # of the change from one order to the next: 1.6 of twice that was seen at corners of iron
STEEL = "steel at its field strength"  # as messages name it
PAIR = 2  # conductors
LEAST = 4e-6  # of the parts that a slope is the sum of: what two orders cannot tell


@dataclass(frozen=True, eq=False)
class OutwardSlopes:
    """How the force away from the axis, summed over the turn, changes on every conductor: outward or inward.

    Attributes
    ----------
    forces, forces_error : (conductors,) float
        Of the largest of a cycle [N]; nan where none stands out from its bar.
    peaks : (conductors,) float
        Those forces [N].
    """

    forces: FloatArray
    forces_error: FloatArray
    peaks: FloatArray


@dataclass(frozen=True, eq=False)
class OwnSlopes:
    """How every conductor by itself changes with one thing, per unit of it.

    Attributes
    ----------
    losses, losses_error : (conductors,) float
        [W/m], and bounds on their errors.
    forces, forces_error : (conductors,) float
        Of the largest force of a cycle [N/m]; nan where none stands out from its bar. Round an axis of that along it,
        in either direction [N].
    peaks : (conductors,) float
        Those forces [N/m].
    outward : OutwardSlopes, optional
        Round an axis.
    """

    losses: FloatArray
    losses_error: FloatArray
    forces: FloatArray
    forces_error: FloatArray
    peaks: FloatArray
    outward: OutwardSlopes | None = None


@dataclass(frozen=True, eq=False)
class Slope:
    """How the circuits change with one thing, per unit of it.

    Attributes
    ----------
    key : str
    resistance, inductance : (circuits,) float
        [ohm/m], [H/m]; nan where no current flows.
    loss : float
        Of all conductors together at the given currents [W/m].
    resistance_error, inductance_error : (circuits,) float
    loss_error : float
        Bounds on their errors.
    own : OwnSlopes, optional
        Of every conductor alone, where asked for.
    current, current_error : float, optional
        Of all currents, relative, where a power is held (`held_power`).
    """

    key: str
    resistance: FloatArray
    inductance: FloatArray
    loss: float
    resistance_error: FloatArray
    inductance_error: FloatArray
    loss_error: float
    own: OwnSlopes | None = None
    current: float | None = None
    current_error: float | None = None


class SlopeError(CrosscurrentError):
    """Slopes of what has none."""


def unsloped(problem: Problem) -> str | None:
    """What in it keeps its fields from giving slopes; None where they do.

    Steel, whose permeability goes with the currents.
    """
    return STEEL if any(conductor.is_saturable for conductor in problem.conductors) else None


def sloped(problem: Problem) -> bool:
    """Whether its fields give slopes."""
    return unsloped(problem) is None


@dataclass(frozen=True, eq=False)
class Frame:
    """The walls of a mesh and how its nodes follow them: of all frequencies and orders on it."""

    walls: Walls
    follow: Following

    @classmethod
    def of(cls, solution: Solution) -> Frame:
        """Of the mesh of a solution."""
        mesh = solution.fine.discretisation.mesh
        walls = Walls.of(mesh, solution.problem.outlines)
        return cls(walls, Following(Elements(mesh, 1), walls.nodes))

    def holds(self, solution: Solution) -> bool:
        """Whether it is that of a solution."""
        return self.follow.elements.mesh is solution.fine.discretisation.mesh


def slopes(
    solution: Solution,
    changes: Sequence[Change],
    *,
    each: bool = False,
    together: Sequence[int] = (),
    whole: bool = False,
    frame: Frame | None = None,
) -> tuple[Slope, ...]:
    """How resistance, inductance and loss of a solution change, with error bars from the order below.

    Parameters
    ----------
    solution : Solution
    changes : sequence of Change
    each : bool
        Also the loss of every conductor alone and the peak force on it, for one more right-hand side each (`adjoint`).
    together : sequence of int
        Conductors round an axis whose peak forces along it are those of their sum (`peaks`).
    whole : bool
        Peak forces on the strands of a bundle are those of their sum.
    frame : Frame, optional
        Of its mesh, where it is known.

    Raises
    ------
    GeometryError
        A part of a change has other sides.
    SlopeError
        The section has steel with a magnetisation curve (`unsloped`).

    Examples
    --------
    The resistance of a rod at 0 Hz falls with the square of its diameter:

    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> from crosscurrent.solver.field.solve import solve
    >>> solution = solve(alone(round_bar(0.010), 1.0), 0.0)
    >>> (slope,) = slopes(solution, [Change("diameter", alone(round_bar(0.010 + 1e-9), 1.0), 1e-9)])
    >>> round(float(slope.resistance[0] / solution.fine.circuit(solution.problem.circuits[0]).real), 4)
    -200.0
    """
    if not changes:
        return ()
    if why := unsloped(solution.problem):
        expected = "metals of constant permeability"
        raise SlopeError(f"slopes: expected {expected}, found {why}; solve twice for their difference")
    with one_thread():
        frame = frame or Frame.of(solution)
        walls, follow = frame.walls, frame.follow
        steps = Differences.of(changes, solution, walls, follow)
        if each:
            own = _Own.of(solution, follow, steps, together, whole=whole)
            return _slopes(own.fine.whole, own.coarse.whole, solution.left, own.slopes)
        given = GivenFields(solution.fine), GivenFields(solution.coarse)
        fine, coarse = SlopeForms.of(Weighing(given, steps), follow)
        return _slopes(fine, coarse, solution.left)


def _slopes(
    fine: SlopeForms, coarse: SlopeForms, left: float, own: Sequence[OwnSlopes] | None = None
) -> tuple[Slope, ...]:
    """With what two orders differ by as their bars, and those of every conductor where they are known."""
    moved = [np.abs(a - b) for a, b in zip(fine.changed, coarse.changed, strict=True)]
    omega = 2 * np.pi * fine.flow.frequency
    if omega:  # one of both may cross zero, both together do not
        together = np.hypot(moved[0], omega * moved[1])
        moved[:2] = together, together / omega
    wrong = [BAR * left * a + LEAST * b for a, b in zip(moved, fine.sizes, strict=True)]
    resistance, inductance, loss = fine.changed
    each: Sequence[OwnSlopes | None] = own or [None] * len(loss)
    rows = zip(fine.steps.keys, resistance.T, inductance.T, loss, *(of.T for of in wrong), each, strict=True)
    return tuple(Slope(key, r, x, float(p), dr, dx, float(dp), one) for key, r, x, p, dr, dx, dp, one in rows)


@dataclass(frozen=True, eq=False)
class _Own:
    """Losses and peak forces of single conductors at both orders, forces at the instants of the finer.

    The largest loss is what the others leave of the whole; two conductors push each other alike.
    """

    solution: Solution
    together: Sequence[Sequence[int]]
    most: int
    fine: ConductorForms
    coarse: ConductorForms

    @classmethod
    def of(
        cls, solution: Solution, follow: Following, steps: Differences, together: Sequence[int], *, whole: bool
    ) -> _Own:  # fmt: skip
        count, at = len(solution.problem.conductors), peaks(solution.fine, together, whole=whole)
        most = int(solution.fine.powers.real.argmax())
        losses = tuple(k for k in range(count) if k != most)
        alike = count == PAIR and not solution.problem.axial
        places = PeakPlaces.of(solution.fine, at[:1] if alike else at)
        fine, coarse = ConductorForms.of((solution.fine, solution.coarse), follow, steps, losses, places)
        groups = [together, *(strands_of(solution.problem) if whole else ())]
        return cls(solution, groups, most, fine, coarse)

    @property
    def slopes(self) -> tuple[OwnSlopes, ...]:
        """Of every change."""
        fine, coarse = self.fine, self.coarse
        (losses, forces), before, sizes = (
            self._apart(values, total, sign)
            for values, total, sign in (
                (fine.changed, fine.whole.changed[2], -1.0), (coarse.changed, coarse.whole.changed[2], -1.0),
                (fine.sizes, fine.whole.sizes[2], 1.0),
            )
        )  # fmt: skip
        wrong = [
            BAR * self.solution.left * np.abs(a - b) + LEAST * c
            for a, b, c in zip((losses, forces), before, sizes, strict=True)
        ]
        peak = np.resize([one.value for one in fine.forces], len(forces))
        least = np.resize(peak_errors(self.solution), len(peak))
        stands = peak > least
        for rows in map(list, self.together):
            stands[rows] = peak[rows].sum() > least[rows].sum()
        felt = np.where(stands, 1.0, np.nan)[:, None]
        k, found, axial = len(losses), [], self.solution.problem.axial
        columns = losses, wrong[0], felt * forces, felt * wrong[1]
        for loss, lost, force, pushed in zip(*(of.T for of in columns), strict=True):
            outward = OutwardSlopes(force[k:], pushed[k:], peak[k:]) if axial else None
            found.append(OwnSlopes(loss, lost, force[:k], pushed[:k], peak[:k], outward))
        return tuple(found)

    def _apart(self, values: FloatArray, total: FloatArray, sign: float) -> tuple[FloatArray, FloatArray]:
        """Losses and forces of all conductors, from what the forms sum up, (..., changes)."""
        count = len(self.solution.problem.conductors)
        others, forces = values[: count - 1], values[count - 1 :]
        last = total + sign * others.sum(axis=0)
        losses = np.concatenate((others[: self.most], last[None], others[self.most :]))
        return losses, forces if len(forces) >= count else forces.repeat(count, axis=0)  # two conductors have one
