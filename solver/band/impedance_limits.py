"""Where the impedance of a section begins and where it ends: exact at 0 Hz, and with all current on the surfaces."""

from __future__ import annotations

from dataclasses import dataclass

from crosscurrent.geometries.arrays import FloatArray

from .followed import FollowedForm
from .foster import FosterForm, Impedance
from .shorted import BesideShorted


@dataclass(frozen=True, eq=False)
class ImpedanceLimits:
    """Of the circuits, each (circuits, circuits).

    Attributes
    ----------
    resistance_at_rest : (circuits, circuits) float
        R of direct current [ohm/m].
    inductance_at_rest : (circuits, circuits) float
        L of direct current [H/m].
    inductance_at_surface : (circuits, circuits) float or None
        L with all current on the surfaces, where R grows without limit [H/m]; None with bundles or ferrite,
        known within the band.
    """

    resistance_at_rest: FloatArray
    inductance_at_rest: FloatArray
    inductance_at_surface: FloatArray | None


def impedance_limits(long: Impedance) -> ImpedanceLimits:
    """The limits of a reduced model, circuit by circuit."""
    known, whole = None, long.whole if isinstance(long, BesideShorted) else long
    if isinstance(whole, FosterForm) and not (whole.stranded or isinstance(whole, FollowedForm)):
        known = whole.pattern.T @ whole.surface_inductance @ whole.pattern
        known = long.at_surface(known) if isinstance(long, BesideShorted) else known
    return ImpedanceLimits(long.resistance(0.0)[0], long.inductance(0.0)[0], known)
