"""Metals: conductivity, its fall with temperature, permeability and density.

Sources in short: "general resistivity tables" are those found in textbooks of physics; "Agrawal" is K. C. Agrawal,
Industrial Power Engineering Handbook, p. 970; "CRC" the CRC Handbook of Chemistry and Physics; "ASM" the ASM Metals
Handbook; "DKI" the data sheets of Deutsches Kupferinstitut. A figure marked "from memory" was not read again when
this table was written.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass

from ..geometries.errors import CrosscurrentError
from .depth import MU0, skin_depth

__all__ = ["MATERIALS", "MU0", "Material", "MaterialError", "Plated", "material"]


class MaterialError(CrosscurrentError, ValueError):
    """A metal that is not in the library."""


@dataclass(frozen=True)
class Plated:
    """Within what bounds a metal out of a plating bath lies.

    Parameters
    ----------
    conductivity : (float, float)
        Poorest and best, at 20 degC [S/m].
    permeability : (float, float)
        Lowest and highest, relative.
    source : str
    """

    conductivity: tuple[float, float]
    permeability: tuple[float, float] = (1.0, 1.0)
    source: str = "common practice, no source"


@dataclass(frozen=True)
class Material:
    """A linear, isotropic metal.

    Parameters
    ----------
    name : str
    conductivity : float
        At the reference temperature [S/m].
    temperature_coefficient : float
        Of the resistivity at the reference temperature [1/K].
    permeability : float
        Relative [-].
    density : float or None
        [kg/m3]
    reference : float
        Temperature of the conductivity [degC].
    source : str
        Where the figures come from.
    note : str
        What is uncertain about them.
    as_plated : Plated or None
        What a bath makes of it; None where nothing is known or it is not plated.
    """

    name: str
    conductivity: float
    temperature_coefficient: float = 0.0
    permeability: float = 1.0
    density: float | None = None
    reference: float = 20.0
    source: str = ""
    note: str = ""
    as_plated: Plated | None = None

    def conductivity_at(self, temperature: float) -> float:
        """Conductivity [S/m] at a temperature [degC]: sigma / (1 + alpha (T - T_ref))."""
        return self.conductivity / (1 + self.temperature_coefficient * (temperature - self.reference))

    def skin_depth(self, frequency: float, temperature: float = 20.0) -> float:
        """sqrt(2 / (w mu sigma)) [m] at a frequency [Hz] and a temperature [degC]; infinite at 0 Hz."""
        return skin_depth(frequency, self.conductivity_at(temperature), self.permeability)


def material(name: str) -> Material:
    """A metal of the library by its name.

    Raises
    ------
    MaterialError
        No such metal; the message lists the names and the nearest of them.

    Examples
    --------
    >>> material("copper").conductivity
    58000000.0
    """
    if name in MATERIALS:
        return MATERIALS[name]
    near = difflib.get_close_matches(name.lower(), MATERIALS, n=1, cutoff=0.5)
    hint = f'did you mean "{near[0]}"? ' if near else ""
    raise MaterialError(f'no material "{name}"; {hint}known: {", ".join(MATERIALS)}')


_LIBRARY = (
    Material(
        "copper", 58.0e6, 3.93e-3, density=8890,
        source="annealed copper, 100 % IACS: IEC 60028:1925",
        as_plated=Plated((45.0e6, 58.0e6)),
    ),
    Material(
        "silver", 62.9e6, 3.8e-3, density=10490,
        source="15.9 nohm*m, 0.0038 /K: general resistivity tables (15.9 in CRC as well); density: CRC, from memory",
        as_plated=Plated((42.0e6, 62.9e6), source="from pure to bright or hard silver: common practice, no source"),
    ),
    Material(
        "gold", 41.0e6, 3.4e-3, density=19300,
        source="24.4 nohm*m, 0.0034 /K: general resistivity tables; density: CRC, from memory",
        note="the purest reaches 45.2 MS/m (22.1 nohm*m: CRC, from memory); hard gold plate is well below 41 MS/m",
        as_plated=Plated((20.0e6, 43.0e6), source="from hard (cobalt) to pure soft gold: common practice, no source"),
    ),
    Material(
        "aluminium-1350", 34.8e6, 4.03e-3, density=2705,
        source="EIE-M, 60 % IACS, IEC 60105: Agrawal; density: ASTM B236, from memory",
        note="60 to 62 % IACS depending on temper",
    ),
    Material(
        "aluminium-6101", 31.9e6, 3.63e-3, density=2700,
        source="6101A T6, 55 % IACS: Agrawal; density: ASM, from memory",
    ),
    Material(
        "brass", 15.9e6, 1.6e-3, density=8440,
        source="CuZn37, 27 % IACS, 15.5 to 15.9 MS/m: DKI, from memory",
        note="leaded turning brass CuZn39Pb3 has 14.6 MS/m (soft; Aurubis data sheet)",
    ),
    Material(
        "bronze", 9.0e6, 0.7e-3, density=8820,
        source="phosphor bronze CuSn6, 15 % IACS: DKI, from memory",
        note="tin bronzes run from 6 to 12 MS/m as tin goes from 12 to 4 %",
    ),
    Material(
        "tin", 9.17e6, 4.5e-3, density=7290,
        source="109 nohm*m: general resistivity tables; density and coefficient: CRC, from memory",
        note="handbooks print 8.0 to 9.2 MS/m (115 nohm*m in CRC, from memory); bright plate conducts worse",
        as_plated=Plated((7.0e6, 9.17e6), source="from bright to matt tin: common practice, no source"),
    ),
    Material(
        "nickel", 14.3e6, 6.0e-3, permeability=100, density=8908,
        source="69.9 nohm*m, 0.006 /K: general resistivity tables (69.3 in CRC); the rest: ASM, all from memory",
        note="permeability 100 to 600 in pure bulk, depends on the process and the field; electroless nickel rich in "
        "phosphorus is not magnetic and conducts about a tenth as well",
        as_plated=Plated(
            (9.0e6, 14.3e6), (10.0, 600.0),
            "nickel without phosphorus; the permeability falls with brightener, stress and frequency: common practice, "
            "no source",
        ),
    ),
    Material(
        "zinc", 16.9e6, 3.7e-3, density=7134,
        source="59.0 nohm*m, coefficient from the values at 0 and 20 degC: CRC, from memory",
        as_plated=Plated((12.0e6, 16.9e6)),
    ),
    Material(
        "solder", 7.6e6, 4.0e-3, density=7400,
        source="lead-free Sn96.5Ag3Cu0.5, 132 nohm*m: makers' data sheets, from memory",
        note="the temperature coefficient is an estimate, near that of tin",
    ),
    Material(
        "steel", 6.99e6, 5.0e-3, permeability=200, density=7870,
        source="carbon steel 1010, 143 nohm*m: general resistivity tables, ASM alike; the rest: ASM, from memory",
        note="permeability 100 to 2000, rises with the field and falls when saturated; a linear value is an estimate: "
        "try 100 and 2000 as well",
    ),
    Material(
        "stainless-304", 1.45e6, 1.0e-3, permeability=1.02, density=7930,
        source="690 nohm*m: general resistivity tables (720 in ASM, from memory); the rest: ASM, from memory",
        note="permeability 1.0 to 1.05 annealed, several times that where cold-worked",
    ),
    Material(
        "titanium", 1.79e6, 3.5e-3, density=4510,
        source="commercially pure, grade 2, 560 nohm*m: ASM, from memory",
    ),
)  # fmt: skip

MATERIALS: dict[str, Material] = {metal.name: metal for metal in _LIBRARY}
