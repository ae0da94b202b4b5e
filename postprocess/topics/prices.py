"""The words, table and record of mass and money: what metal a run takes, and what that costs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from crosscurrent.postprocess.answers.chapter import Json, Measured
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import engineering, significant
from crosscurrent.solver.field.masses import AREA_ERROR, MetalShare

PRECIOUS = ("silver", "gold")


@dataclass(frozen=True)
class PricedMetal:
    """One metal of a section with its price."""

    share: MetalShare
    per_kg: float | None = None  # in the currency of the case

    @property
    def mass(self) -> float | None:
        """Per metre [kg/m]."""
        return self.share.mass

    @property
    def cost(self) -> float | None:
        """Per metre, in the currency of the case."""
        return None if self.mass is None or self.per_kg is None else self.mass * self.per_kg


@dataclass(frozen=True)
class PricesAnswer:
    """All metals of a run.

    Attributes
    ----------
    metals : tuple of PricedMetal
    currency : str
        Empty where no metal has a price.
    length : float or None
        Of the run [m].
    """

    metals: tuple[PricedMetal, ...]
    currency: str = ""
    length: float | None = None

    @property
    def mass(self) -> float:
        """Of all metals with a known density [kg/m]."""
        return sum(metal.mass or 0.0 for metal in self.metals)

    @property
    def cost(self) -> float | None:
        """Of all metals with a price, per metre; None where none has one."""
        return sum(metal.cost or 0.0 for metal in self.metals) if self.currency else None

    @property
    def without_density(self) -> list[str]:
        """Names of the metals whose mass is not known."""
        return [metal.share.material for metal in self.metals if metal.share.density is None]

    @property
    def without_price(self) -> list[str]:
        """Names of the metals for which no price is stated."""
        return [metal.share.material for metal in self.metals if metal.per_kg is None]


def record(found: PricesAnswer) -> dict[str, Json]:
    """The numbers of the chapter."""
    mass, cost, unknown, length = found.mass, found.cost, found.without_density, found.length
    return {
        "mass_kg_per_m": None if unknown else mass,
        "total_mass_kg": None if unknown or length is None else mass * length,
        "currency": found.currency or None,
        "cost_per_m": cost,
        "total_cost": None if cost is None or length is None else cost * length,
        "materials": {metal.share.material: _metal(metal, length) for metal in found.metals},
        "without_density": unknown,
        "without_price": found.without_price,
    }


def _metal(metal: PricedMetal, length: float | None) -> dict[str, float | None]:
    mass, cost = metal.mass, metal.cost
    return {
        "area_m2": metal.share.area,
        "mass_kg_per_m": mass,
        "cost_per_m": cost,
        "total_volume_m3": None if length is None else metal.share.area * length,
        "total_mass_kg": None if mass is None or length is None else mass * length,
        "total_cost": None if cost is None or length is None else cost * length,
    }


def measured(found: PricesAnswer) -> dict[str, tuple[Measured, ...]]:
    """The cost; not known where a metal has no price."""
    if found.cost is None:
        return {}
    whole = not (found.without_price or found.without_density)
    return {"cost": (Measured(found.cost, AREA_ERROR * found.cost if whole else math.inf, f"{found.currency}/m"),)}


def table(found: PricesAnswer) -> TextTable:
    """Every metal per metre, and for the run where its length is stated."""
    length, money = found.length, found.currency or "cost"
    columns: tuple[str, ...] = ("material", "area [mm2]", "mass per metre", f"{money} per metre")
    if length is not None:
        columns += (f"mass of {length:g} m", f"{money} of {length:g} m")
    rows = []
    for metal in found.metals:
        area, mass, cost = significant(metal.share.area * 1e6, 4), metal.mass, metal.cost
        row: tuple[str, ...] = (metal.share.material, area, _mass(mass, 1.0), _money(cost))
        if length is not None:
            row += (_mass(mass, length), _money(None if cost is None else cost * length))
        rows.append(row)
    return TextTable("Metal of the section (holes left out; scrap of cutting not counted)", columns, tuple(rows))


def sentences(found: PricesAnswer) -> Iterator[str]:
    """What the run takes, what is not known of it, and how much of it is precious."""
    length, cost, unknown = found.length, found.cost, found.without_density
    over, times = (f"the run of {length:g} m", length) if length is not None else ("one metre", 1.0)
    if not unknown:
        price = "" if cost is None else f" and {_money(cost * times)} {found.currency} of metal"
        yield f"{over} takes {_mass(found.mass, times)}{price}"
    for name in unknown:
        yield f"the mass of {name} is unknown: give its density in [material.{name}]"
    unpriced = [name for name in found.without_price if name not in unknown]
    if cost is not None and unpriced:
        yield f"no price is stated for {', '.join(unpriced)}: the cost leaves it out"
    for metal in found.metals:
        name = metal.share.material
        if name in PRECIOUS and metal.mass is not None:
            volume = significant(metal.share.area * times * 1e6, 3)
            yield f"{over} takes {_mass(metal.mass, times)} of {name} ({volume} cm3)"


def _mass(per_metre: float | None, length: float) -> str:
    return engineering(None if per_metre is None else per_metre * length, "kg")


def _money(amount: float | None) -> str:
    return "-" if amount is None else significant(amount, 4)
