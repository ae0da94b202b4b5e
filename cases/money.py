"""Mass of every metal, and what it costs at the prices of the case file."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

import numpy as np
from pydantic import BeforeValidator, PlainSerializer

from ..postprocess.chapter import Chapter, Measured
from ..postprocess.tables import TextTable
from ..postprocess.units import engineering
from ..solver.solve import Solution
from .fields import fault
from .quantities import kind

if TYPE_CHECKING:
    from .run import Result

PER_KILOGRAM = {"kg": 1.0, "g": 1e3, "t": 1e-3, "lb": 1 / 0.45359237, "ozt": 1 / 0.0311034768}
_PRICE = re.compile(r"([0-9]+\.?[0-9]*|\.[0-9]+) ?([^\s0-9/.,]+) ?/ ?(\w+)")
PRECIOUS = ("silver", "gold")
DEAREST = 1e12  # number of a price beyond which it is a slip
AREA_ERROR = 1e-6  # relative: areas of the mesh are exact but for rounding at corners


@dataclass(frozen=True)
class Price:
    """Of a metal by its mass; the currency is a word nobody looks into."""

    per_kg: float
    currency: str


def read_price(value: Any) -> Price:
    """A price as written in a case file; a fault in pydantic's terms."""
    if isinstance(value, Price):
        return value
    match = _PRICE.fullmatch(value.strip()) if isinstance(value, str) else None
    if match is None or match[3] not in PER_KILOGRAM or float(match[1]) > DEAREST:
        comma = isinstance(value, str) and re.match(r"[0-9]+,[0-9]", value)
        hint = "write a decimal point" if comma else f"per {', '.join(PER_KILOGRAM)} (ozt: troy ounce)"
        raise fault('a price by mass such as "9.8 EUR/kg"', kind(value), hint)
    return Price(float(match[1]) * PER_KILOGRAM[match[3]], match[2])


def _written(price: Price) -> str:
    return f"{np.format_float_positional(price.per_kg, trim='-')} {price.currency}/kg"


Prices = dict[str, Annotated[Price, BeforeValidator(read_price), PlainSerializer(_written, when_used="json")]]


@dataclass(frozen=True)
class Share:
    """One metal of a section."""

    material: str
    area: float  # [m2]
    density: float | None  # [kg/m3]
    price: Price | None = None

    @property
    def mass(self) -> float | None:
        """Per metre [kg/m]."""
        return None if self.density is None else self.area * self.density

    @property
    def cost(self) -> float | None:
        """Per metre, in its currency."""
        return None if self.mass is None or self.price is None else self.mass * self.price.per_kg


def shares(solution: Solution, prices: Prices) -> tuple[Share, ...]:
    """Every metal of the section, plating and clad pieces included, the most of it first."""
    mesh = solution.fine.discretisation.mesh
    metals = [metal for c in solution.problem.conductors for metal in c.metals]
    areas = mesh.areas()
    found: dict[str, Share] = {}
    for row, metal in enumerate(metals):
        area = float(np.sum(areas[mesh.region == row]))
        before = found[metal.name].area if metal.name in found else 0.0
        found[metal.name] = Share(metal.name, before + area, metal.density, prices.get(metal.name))
    return tuple(sorted(found.values(), key=lambda share: -share.area))


def chapter(result: Result) -> Chapter | None:
    """Where the case file has a table [prices], empty or not."""
    prices, length = result.case.data.prices, result.case.length
    if prices is None:
        return None
    metals = shares(next(iter(result.solutions.values())), prices)
    unknown = [share.material for share in metals if share.density is None]
    unpriced = [share.material for share in metals if share.price is None]
    currency = next((share.price.currency for share in metals if share.price), "")
    mass = sum(share.mass or 0.0 for share in metals)
    cost = sum(share.cost or 0.0 for share in metals) if currency else None
    record = {
        "mass_kg_per_m": None if unknown else mass,
        "total_mass_kg": None if unknown or length is None else mass * length,
        "currency": currency or None,
        "cost_per_m": cost,
        "total_cost": None if cost is None or length is None else cost * length,
        "materials": {share.material: _record(share, length) for share in metals},
        "without_density": unknown,
        "without_price": unpriced,
    }
    measured = {} if unknown else {"mass": (Measured(mass, AREA_ERROR * mass, "kg/m"),)}
    table = _table(metals, length, currency)
    sentences = _sentences(metals, length, mass, cost, currency)
    return Chapter("mass", "Mass and money", record, (table,), tuple(sentences), measured=measured)


def _record(share: Share, length: float | None) -> dict[str, float | None]:
    volume = None if length is None else share.area * length
    return {
        "area_m2": share.area,
        "mass_kg_per_m": share.mass,
        "cost_per_m": share.cost,
        "total_volume_m3": volume,
        "total_mass_kg": None if share.mass is None or length is None else share.mass * length,
        "total_cost": None if share.cost is None or length is None else share.cost * length,
    }


def _table(metals: tuple[Share, ...], length: float | None, currency: str) -> TextTable:
    columns: tuple[str, ...] = ("material", "area [mm2]", "mass per metre", f"{currency or 'cost'} per metre")
    if length is not None:
        columns += (f"mass of {length:g} m", f"{currency or 'cost'} of {length:g} m")
    rows = []
    for share in metals:
        row: tuple[str, ...] = (share.material, f"{share.area * 1e6:.4g}", _mass(share.mass, 1.0), _money(share.cost))
        if length is not None:
            row += (_mass(share.mass, length), _money(None if share.cost is None else share.cost * length))
        rows.append(row)
    return TextTable("Metal of the section (holes left out; scrap of cutting not counted)", columns, tuple(rows))


def _sentences(
    metals: tuple[Share, ...], length: float | None, mass: float, cost: float | None, currency: str
) -> list[str]:
    unknown = [share.material for share in metals if share.density is None]
    unpriced = [share.material for share in metals if share.price is None and share.density is not None]
    over, times = (f"the run of {length:g} m", length) if length is not None else ("one metre", 1.0)
    found = []
    if not unknown:
        price = "" if cost is None else f" and {cost * times:.4g} {currency} of metal"
        found.append(f"{over} takes {_mass(mass, times)}{price}")
    found += [f"the mass of {name} is unknown: give its density in [material.{name}]" for name in unknown]
    if cost is not None and unpriced:
        found.append(f"no price is stated for {', '.join(unpriced)}: the cost leaves it out")
    for share in metals:
        if share.material in PRECIOUS and share.mass is not None:
            volume = share.area * times * 1e6
            found.append(f"{over} takes {_mass(share.mass, times)} of {share.material} ({volume:.3g} cm3)")
    return found


def _mass(per_metre: float | None, length: float) -> str:
    return engineering(None if per_metre is None else per_metre * length * 1e3, "g")


def _money(amount: float | None) -> str:
    return "-" if amount is None else f"{amount:.4g}" if amount < 1e4 else f"{amount:.0f}"
