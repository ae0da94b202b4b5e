"""How the answers of one frequency change with each figure of a case, as data."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from crosscurrent.geometries.fixed import Fixed
from crosscurrent.solver.field.slopes import OwnSlopes, Slope


@dataclass(frozen=True)
class CircuitSlope:
    """Of one circuit, per SI unit of the figure; None where no current flows.

    Attributes
    ----------
    resistance, resistance_error : float or None
        Slope and bound on its error [ohm/m per unit].
    inductance, inductance_error : float or None
        [H/m per unit]
    resistance_relative, inductance_relative : float or None
        d ln R / d ln p: per cent of change for one per cent more.
    """

    resistance: float | None
    resistance_error: float | None
    inductance: float | None
    inductance_error: float | None
    resistance_relative: float | None
    inductance_relative: float | None


@dataclass(frozen=True)
class ConductorSlope:
    """Of one conductor alone, per SI unit of the figure: its loss, and the peak force on it.

    Attributes
    ----------
    loss, loss_error : float
        Slope and bound on its error [W/m per unit].
    loss_relative : float or None
        d ln P / d ln p; None where it carries nothing.
    force, force_error, force_relative : float or None
        Of the largest force of a cycle on it [N/m per unit]; None where that does not stand out from its bar. Round an
        axis of that along it, in either direction [N per unit].
    outward, outward_error, outward_relative : float or None
        Round an axis, of the largest force away from it or towards it, summed over the turn [N per unit].
    """

    loss: float
    loss_error: float
    loss_relative: float | None
    force: float | None = None
    force_error: float | None = None
    force_relative: float | None = None
    outward: float | None = None
    outward_error: float | None = None
    outward_relative: float | None = None


@dataclass(frozen=True)
class SlopeAnswer:
    """How circuits and loss change with one figure of a case.

    Attributes
    ----------
    key : str
        A name of [named], or "conductor.key".
    value : float
        What it is [SI].
    unit : str
        Of the value; empty where it has none.
    circuits : mapping of str to CircuitSlope
    loss, loss_error : float
        Of all conductors together [W/m per unit].
    loss_relative : float or None
        d ln P / d ln p.
    conductors : mapping of str to ConductorSlope
        Empty with more conductors than are told one by one.
    current, current_error : float or None
        Of all currents, relative [1 per unit], where they are those of a wanted power.
    current_relative : float or None
        d ln I / d ln p.
    """

    key: str
    value: float
    unit: str
    circuits: Mapping[str, CircuitSlope]
    loss: float
    loss_error: float
    loss_relative: float | None
    conductors: Mapping[str, ConductorSlope] = field(default_factory=dict)
    current: float | None = None
    current_error: float | None = None
    current_relative: float | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "circuits", Fixed(self.circuits))
        object.__setattr__(self, "conductors", Fixed(self.conductors))

    @property
    def weight(self) -> float:
        """By what slopes are sorted: the largest of its relative changes."""
        of_circuits = [r for c in self.circuits.values() for r in (c.resistance_relative, c.inductance_relative)]
        return max((abs(r) for r in (self.loss_relative, *of_circuits) if r is not None), default=0.0)


def slope_answer(
    slope: Slope,
    value: float,
    unit: str,
    circuits: Mapping[str, tuple[float | None, float | None]],
    losses: Mapping[str, float],
) -> SlopeAnswer:
    """From a slope of the solver and what the slopes are relative to.

    Parameters
    ----------
    slope : Slope
    value : float
        Of the figure [SI].
    unit : str
    circuits : mapping of str to (float, float)
        Resistance [ohm/m] and inductance [H/m] of every circuit, in the order of the slope.
    losses : mapping of str to float
        Of every conductor [W/m], in the order of the slope.
    """
    found = {}
    for k, (name, (resistance, inductance)) in enumerate(circuits.items()):
        by_r, by_l = (_known(float(row[k])) for row in (slope.resistance, slope.inductance))
        found[name] = CircuitSlope(
            by_r, _known(float(slope.resistance_error[k])), by_l, _known(float(slope.inductance_error[k])),
            _relative(by_r, value, resistance), _relative(by_l, value, inductance),
        )  # fmt: skip
    alone = {} if slope.own is None else _alone(slope.own, value, losses)
    relative = _relative(slope.loss, value, sum(losses.values()))
    current = slope.current, slope.current_error, _relative(slope.current, value, 1.0)
    return SlopeAnswer(slope.key, value, unit, found, slope.loss, slope.loss_error, relative, alone, *current)


def _alone(own: OwnSlopes, value: float, losses: Mapping[str, float]) -> dict[str, ConductorSlope]:
    """Of every conductor."""
    found = {}
    for k, (name, loss) in enumerate(losses.items()):
        by, force = float(own.losses[k]), _known(float(own.forces[k]))
        found[name] = ConductorSlope(
            by, float(own.losses_error[k]), _relative(by, value, loss),
            force, _known(float(own.forces_error[k])), _relative(force, value, float(own.peaks[k])),
            *_outward(own, k, value),
        )  # fmt: skip
    return found


def _outward(own: OwnSlopes, k: int, value: float) -> tuple[float | None, float | None, float | None]:
    out = own.outward
    if out is None:
        return None, None, None
    by = _known(float(out.forces[k]))
    return by, _known(float(out.forces_error[k])), _relative(by, value, float(out.peaks[k]))


def _known(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _relative(slope: float | None, value: float, of: float | None) -> float | None:
    return slope * value / of if slope is not None and of else None
