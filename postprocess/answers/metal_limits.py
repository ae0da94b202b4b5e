"""Temperatures at which a metal is no longer what was computed: where it melts, where it stops being magnetic."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.metals.materials import Material

from .cautions import HOT
from .chapter import Measured

TEMPERATURES = ("temperature", "duty_temperature", "fault_temperature", "water_temperature")  # measured by chapters
WARM = 43.0  # that burns skin if it is held for hours, as the caution says [degC]
IN_SERVICE = ("temperature", "duty_temperature", "water_temperature")  # those that losses and currents depend on


@dataclass(frozen=True)
class BrokenBound:
    """A metal of a conductor at or above a bound [degC] of its own."""

    conductor: str
    metal: str
    bound: float
    melts: bool  # else it stops being magnetic

    @property
    def words(self) -> str:
        """A clause, without the temperature reached."""
        what = "begins to melt" if self.melts else "stops being magnetic"
        return f'the {self.metal} of "{self.conductor}" {what} at {self.bound:.5g} degC'

    @property
    def mark(self) -> str:
        """For the cell of a table."""
        return f" ({self.metal} melts)" if self.melts else f" ({self.metal} not magnetic)"


def broken_bound(conductor: Conductor, temperature: float) -> BrokenBound | None:
    """The bound that a computed temperature breaks; melting before the loss of magnetism, the lowest first.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> rod = Conductor(Part("rod", round_bar(0.01), (5e-6,)), MATERIALS["copper"], coats=(MATERIALS["tin"],))
    >>> broken_bound(rod, 200.0), broken_bound(rod, 240.0).words
    (None, 'the tin of "rod" begins to melt at 231.93 degC')
    """
    found = [
        BrokenBound(conductor.name, metal.name, bound, melts)
        for metal in conductor.metals
        for bound, melts in ((metal.melting, True), (_still_magnetic_to(metal, conductor.temperature), False))
        if bound is not None and temperature >= bound
    ]
    return min(found, key=lambda b: (not b.melts, b.bound), default=None)


def _still_magnetic_to(metal: Material, temperature: float) -> float | None:
    """Its Curie temperature [degC]; None where none is known, or it was computed as air at its own temperature."""
    return metal.curie if metal.warmed(temperature) is metal else None


def broken_bounds(conductors: Iterable[Conductor], figures: Iterable[Measured]) -> list[tuple[Measured, BrokenBound]]:
    """The measured temperatures that break a bound, in their own order; those without an end are left out."""
    named = {c.name: c for c in conductors}
    known = [m for m in figures if m.known and m.of in named]
    return [(m, found) for m in known if (found := broken_bound(named[m.of], m.value)) is not None]


def nearly_broken(conductors: Iterable[Conductor], figures: Iterable[Measured]) -> list[tuple[Measured, BrokenBound]]:
    """Those that break one only with the whole of their error bar, or as bundles are laid."""
    named = {c.name: c for c in conductors}
    known = [m for m in figures if m.known and m.of in named and broken_bound(named[m.of], m.value) is None]
    return [(m, found) for m in known if (found := broken_bound(named[m.of], m.highest)) is not None]


def bound_warnings(conductors: Iterable[Conductor], figures: Iterable[Measured]) -> list[str]:
    """In words, for the chapter that measured the temperatures.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> rod = Conductor(Part("rod", round_bar(0.01)), MATERIALS["copper"])
    >>> bound_warnings([rod], [Measured(1000.0, 90.0, "degC", "rod")])
    ['the copper of "rod" begins to melt at 1084.6 degC, which it may reach (it reaches 1000.0 degC, +- 90 K)']
    """
    conductors, figures = list(conductors), list(figures)
    lines = [
        f"{b.words}, and {reached(m)}: what was computed for it does not hold"
        for m, b in broken_bounds(conductors, figures)
    ]
    return lines + [
        f"{b.words}, which it may reach ({reached(m)}, +- {m.error:.0f} K{_as_laid(m)})"
        for m, b in nearly_broken(conductors, figures)
    ]


def _as_laid(figure: Measured) -> str:
    """What groups of strands that are only twisted add."""
    if not figure.above:
        return ""
    return f", as bundles are laid up to {figure.above:.0f} K more" if math.isfinite(figure.above) else ", as laid more"


def reached(figure: Measured) -> str:
    """The temperature and the load it belongs to.

    Examples
    --------
    >>> reached(Measured(71.25, 4.0, "degC", "rod", "steady, 50 Hz"))
    'it reaches 71.2 degC (steady, 50 Hz)'
    """
    return f"it reaches {figure.value:.1f} degC{f' ({figure.load})' if figure.load else ''}"


def of_all(measured: Mapping[str, Iterable[Measured]], keys: Iterable[str] = TEMPERATURES) -> list[Measured]:
    """The temperatures among what chapters measured."""
    return [m for key in keys for m in measured.get(key, ())]


def burning(figures: Iterable[Measured]) -> tuple[str, ...]:
    """The caution on hot metal, where a temperature with its bar is high enough for it, or not known.

    Examples
    --------
    >>> len(burning([Measured(30.0, 5.0, "degC")])), len(burning([Measured(40.0, 5.0, "degC")]))
    (0, 1)
    """
    return () if all(m.value + m.error < WARM for m in figures) else (HOT,)
