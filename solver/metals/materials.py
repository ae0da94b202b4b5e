"""Metals: conductivity, its fall with temperature, permeability and density.

Sources in short, all for 20 degC unless said:

- CRC: CRC Handbook of Chemistry and Physics, 95th ed. 2014, "Electrical Resistivity of Pure Metals" and the elements
- Matula 1979: R. A. Matula, J. Phys. Chem. Ref. Data 8, 1147-1298
- Kittel: C. Kittel, Introduction to Solid State Physics, 8th ed., ch. 6, table 3, after G. T. Meaden 1965
- ASM: ASM Handbook, vol. 1 (steels) and 2 (other metals)
- Agrawal: K. C. Agrawal, Industrial Power Engineering Handbook, p. 970
- DKI: data sheets of Deutsches Kupferinstitut
- NIST: T. Siewert, S. Liu, D. R. Smith and J. C. Madeni, Database for Solder Properties with Emphasis on New Lead-free
  Solders, NIST and Colorado School of Mines, release 4.0, 2002

"From memory" marks a value not read again in the named source when this table was written. Those of the elements were
compared with the tables that the open libraries pymatgen, mendeleev and periodictable carry: within 1 %, copper apart,
which here is the standard one. An alloy's conductivity is that of its usual composition; ask the mill for your own.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, replace

from crosscurrent.geometries.errors import CrosscurrentError

from .depth import MU0, skin_depth
from .magnetisation import CURIE, Magnetisation

__all__ = ["MATERIALS", "MU0", "Material", "MaterialError", "Plated", "material"]


SYMBOLS = {
    "cu": "copper", "ag": "silver", "au": "gold", "al": "aluminium-1350", "sn": "tin", "ni": "nickel", "zn": "zinc",
    "fe": "steel", "iron": "steel", "ti": "titanium", "stainless": "stainless-304", "inox": "stainless-304",
}  # fmt: skip
ITS_90 = "fixed point of the ITS-90: H. Preston-Thomas, Metrologia 27, 3-10, 1990"
# relative permeability above which ...
THINS_THE_SKIN = 1.1  # the skin is thinner, and plating costlier, than the conductivity says
MAGNETIC = 1.5  # a strong field saturates it: a constant permeability is one working point
STRONGLY_MAGNETIC = 10.0  # the figure itself is uncertain: it changes with the field, the alloy and its treatment
CERAMIC = 4.0  # of ferrite; makers' data sheets say 3.5 to 5, from memory [W/(m K)]
LORENZ = 2.44e-8  # pi^2 k^2 / (3 e^2), A. Sommerfeld 1928: metals lie within some 20 % of it [W ohm/K2]


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
    """An isotropic metal, linear unless it has a magnetisation curve; or ferrite and the like, which do not conduct.

    Parameters
    ----------
    name : str
    conductivity : float
        At the reference temperature [S/m]; 0 of what does not conduct, which carries no current.
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
    melting, curie : float or None
        Where it begins to melt, and where it stops being magnetic [degC]; None where not known or not so.
    melting_source : str
        Where these two come from.
    thermal_conductivity : float or None
        Near room temperature [W/(m K)]; None: `conduction` takes it from the electrical conductivity.
    heat_capacity : float or None
        Per mass, near room temperature [J/(kg K)].
    thermal_source : str
        Where these two come from.
    magnetisation : Magnetisation or None
        Its curve; the permeability is then the initial one. It is gone above the Curie temperature.
    permeability_loss : float
        mu'' of mu' - j mu'', the permeability of a sine: what hysteresis and eddies within grains or sheets lose [-].
    saturation : float or None
        Crest of B up to which the permeability may count as constant [T].
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
    melting: float | None = None
    curie: float | None = None
    melting_source: str = ""
    thermal_conductivity: float | None = None
    heat_capacity: float | None = None
    thermal_source: str = ""
    magnetisation: Magnetisation | None = None
    permeability_loss: float = 0.0
    saturation: float | None = None

    @property
    def ends(self) -> float | None:
        """Temperature from which it is no more magnetic than air [degC]; for a curve that of iron where not known."""
        return CURIE if self.curie is None and self.magnetisation is not None else self.curie

    def warmed(self, temperature: float) -> Material:
        """What it is at a temperature [degC]: with a curve, no more magnetic than air above its Curie temperature.

        Examples
        --------
        >>> steel = Material("own", 6e6, permeability=1000.0, magnetisation=Magnetisation.froelich(1000.0, 2.0))
        >>> steel.warmed(700.0) == steel, steel.warmed(800.0).permeability
        (True, 1.0)
        """
        gone = self.magnetisation is not None and self.ends is not None and temperature >= self.ends
        return replace(self, permeability=1.0, magnetisation=None) if gone else self

    @property
    def conduction(self) -> float:
        """Thermal conductivity [W/(m K)]; where none is known, that of Wiedemann and Franz at 20 degC, L sigma T,
        and of what does not conduct that of ferrite.

        Examples
        --------
        >>> round(Material("own", 30e6).conduction, 1)
        214.6
        """
        if self.thermal_conductivity is not None:
            return self.thermal_conductivity
        if not self.conductivity:
            return CERAMIC
        return LORENZ * self.conductivity_at(20.0) * 293.15

    @property
    def lag(self) -> complex:
        """Its permeability at a sine over the real part: 1 without loss."""
        return complex(1.0, -self.permeability_loss / self.permeability)

    @property
    def thins_the_skin(self) -> bool:
        """Whether its permeability makes the skin noticeably thinner."""
        return self.permeability > THINS_THE_SKIN

    @property
    def is_magnetic(self) -> bool:
        """Whether a strong field, as of a fault, saturates it."""
        return self.permeability > MAGNETIC

    @property
    def is_strongly_magnetic(self) -> bool:
        """Whether its permeability is uncertain, as that of steel.

        Examples
        --------
        >>> MATERIALS["steel"].is_strongly_magnetic, MATERIALS["stainless-304"].is_magnetic
        (True, False)
        """
        return self.permeability > STRONGLY_MAGNETIC

    def conductivity_at(self, temperature: float) -> float:
        """Conductivity [S/m] at a temperature [degC]: sigma / (1 + alpha (T - T_ref))."""
        return self.conductivity / (1 + self.temperature_coefficient * (temperature - self.reference))

    def skin_depth(self, frequency: float, temperature: float = 20.0) -> float:
        """sqrt(2 / (w mu sigma)) [m] at a frequency [Hz] and a temperature [degC], as `warmed`; infinite at 0 Hz."""
        return skin_depth(frequency, self.conductivity_at(temperature), self.warmed(temperature).permeability)


def similar(name: str, known: Iterable[str]) -> str:
    """The names most like one that is not known, all that are equally near, as words; empty if there is none.

    Examples
    --------
    >>> similar("Aluminum", MATERIALS)
    '"aluminium-1350" or "aluminium-6101"'
    """
    word = name.lower()
    if word in SYMBOLS:
        return f'"{SYMBOLS[word]}"'
    likeness = {k: difflib.SequenceMatcher(None, word, k.lower()).ratio() for k in known}
    best = max(likeness.values(), default=0.0)
    near = [k for k, like in likeness.items() if like > best - 0.02] if best >= 0.55 else []
    if not near and len(word) > 1:
        near = [k for k in likeness if k.lower().startswith(word)]
    return " or ".join(f'"{k}"' for k in near[:3])


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
    near = similar(name, MATERIALS)
    hint = f"did you mean {near}? " if near else ""
    raise MaterialError(f'no material "{name}"; {hint}known: {", ".join(MATERIALS)}')


_LIBRARY = (
    Material(
        "copper", 58.0e6, 3.93e-3, density=8890,
        melting=1084.62, melting_source=ITS_90,
        thermal_conductivity=391, heat_capacity=385,
        thermal_source="C11000: Copper Development Association data sheet, from memory",
        source="annealed copper, 100 % IACS: IEC 60028:1925",
        note="bars of Cu-ETP and Cu-OF have 57 to 59 MS/m by temper (EN 13601, from memory), tubes of phosphorus-"
        "deoxidised Cu-DHP only 41 to 52 (DKI, from memory)",
        as_plated=Plated((45.0e6, 58.0e6)),
    ),
    Material(
        "silver", 62.9e6, 3.8e-3, density=10490,
        melting=961.78, melting_source=ITS_90,
        thermal_conductivity=429, heat_capacity=235, thermal_source="CRC, from memory",
        source="15.9 nohm*m, rounded up from 15.87 at 293 K: Matula 1979 and CRC; coefficient and density: CRC; all "
        "from memory",
        as_plated=Plated((42.0e6, 62.9e6), source="from pure to bright or hard silver: common practice, no source"),
    ),
    Material(
        "gold", 45.2e6, 3.7e-3, density=19300,
        melting=1064.18, melting_source=ITS_90,
        thermal_conductivity=317, heat_capacity=129, thermal_source="CRC, from memory",
        source="22.14 nohm*m at 293 K, coefficient from the values at 273 and 300 K: Matula 1979 and CRC; density: "
        "CRC; all from memory",
        note="textbook tables also print 24.4 nohm*m (41 MS/m); hard gold plate is well below that",
        as_plated=Plated((20.0e6, 45.2e6), source="from hard (cobalt) to pure soft gold: common practice, no source"),
    ),
    Material(
        "aluminium-1350", 34.8e6, 4.03e-3, density=2705,
        melting=646, melting_source="solidus: ASM, from memory",
        thermal_conductivity=234, heat_capacity=900, thermal_source="ASM, from memory",
        source="EIE-M, 60 % IACS, IEC 60105: Agrawal; coefficient: that of 61 % IACS, IEC 60889:1987, from memory; "
        "density: ASTM B236, from memory",
        note="60 to 62 % IACS (34.8 to 36 MS/m) depending on temper",
    ),
    Material(
        "aluminium-6101", 31.9e6, 3.63e-3, density=2700,
        melting=621, melting_source="solidus: ASM, from memory",
        thermal_conductivity=218, heat_capacity=895, thermal_source="T6: ASM, from memory",
        source="6101A T6, 55 % IACS: Agrawal (ASTM B317 alike, from memory); density: ASM, from memory",
        note="T61 has 57, T63 56 and T64 59.5 % IACS (ASTM B317, from memory)",
    ),
    Material(
        "brass", 15.9e6, 1.6e-3, density=8440,
        melting=902, melting_source="solidus: DKI, from memory",
        thermal_conductivity=120, heat_capacity=377, thermal_source="CuZn37: DKI, from memory",
        source="CuZn37 (CW508L, near C27200), 27 % IACS, 15.5 to 15.9 MS/m: DKI, from memory; coefficient: KME data "
        "sheet of CuZn39Pb2",
        note="14 to 16.2 MS/m: leaded turning brass CuZn39Pb3 has 14.6 (soft; Aurubis data sheet), CuZn30 (C26000) 28 "
        "% IACS or 16.2 (Copper Development Association, from memory)",
    ),
    Material(
        "bronze", 9.0e6, 0.7e-3, density=8820,
        melting=910, melting_source="solidus: DKI, from memory",
        thermal_conductivity=75, heat_capacity=377, thermal_source="CuSn6: DKI, from memory",
        source="phosphor bronze CuSn6 (CW452K), 15 % IACS: DKI, from memory",
        note="tin bronzes run from 6 to 12 MS/m as tin goes from 12 to 4 %; CuSn5 (C51000) has 15 % IACS or 8.7 MS/m "
        "(Copper Development Association, from memory)",
    ),
    Material(
        "tin", 9.17e6, 4.5e-3, density=7290,
        melting=231.928, melting_source=ITS_90,
        thermal_conductivity=66.8, heat_capacity=227, thermal_source="CRC, from memory",
        source="109 nohm*m, that is 110 at 295 K: Kittel, from memory; density and coefficient: CRC, from memory",
        note="handbooks disagree: 7.9 to 9.2 MS/m (126 to 109 nohm*m; the 115 in CRC is for 0 degC, from memory); "
        "bright plate conducts worse",
        as_plated=Plated((7.0e6, 9.17e6), source="from bright to matt tin: common practice, no source"),
    ),
    Material(
        "nickel", 14.3e6, 6.0e-3, permeability=100, density=8908,
        melting=1455, curie=354, melting_source="CRC, from memory",
        thermal_conductivity=90.9, heat_capacity=444, thermal_source="CRC, from memory",
        source="69.9 nohm*m, between 69.3 at 293 K (CRC) and 70.4 at 295 K (Kittel); the rest: ASM, all from memory",
        note="permeability 100 to 600 in pure bulk, depends on the process and the field; the coefficient rises from "
        "0.0056 at 20 degC to 0.0066 /K on the mean to 130 degC (CRC, from memory); electroless nickel rich in "
        "phosphorus is not magnetic and conducts about a tenth as well",
        as_plated=Plated(
            (9.0e6, 14.3e6), (10.0, 600.0),
            "nickel without phosphorus; the permeability falls with brightener, stress and frequency: common practice, "
            "no source",
        ),
    ),
    Material(
        "zinc", 16.9e6, 3.7e-3, density=7134,
        melting=419.527, melting_source=ITS_90,
        thermal_conductivity=116, heat_capacity=388, thermal_source="CRC, from memory",
        source="59.0 nohm*m at 293 K, coefficient from the values at 273 and 293 K: CRC, from memory",
        as_plated=Plated((12.0e6, 16.9e6)),
    ),
    Material(
        "solder", 7.6e6, 3.7e-3, density=7400,
        melting=217, melting_source="solidus: NIST, from memory",
        thermal_conductivity=58, heat_capacity=230, thermal_source="makers' data sheets, from memory",
        source="lead-free Sn96.5Ag3Cu0.5, 132 nohm*m: makers' data sheets, within the 100 to 150 of NIST for lead-free "
        "solders, from memory; coefficient: an estimate, the rise of tin over this resistivity (Matthiessen's rule)",
        note="6.7 to 10 MS/m by alloy and cooling; the coefficient is good to some 10 %",
    ),
    Material(
        "steel", 6.99e6, 5.0e-3, permeability=200, density=7870,
        melting=1450, curie=770,
        melting_source="solidus, taken low: from memory; Curie temperature of iron: common practice, no source",
        thermal_conductivity=63.9, heat_capacity=434,
        thermal_source="AISI 1010 at 300 K: Incropera and DeWitt, table A.1, from memory",
        source="carbon steel AISI 1010, 143 nohm*m, and the rest: ASM, from memory",
        note="permeability 100 to 2000, rises with the field and falls when saturated; a linear value is an estimate: "
        "try 100 and 2000 as well; 1020 has 6.3 MS/m (ASM, from memory), structural steel down to 5 (common practice, "
        "no source)",
    ),
    Material(
        "stainless-304", 1.37e6, 1.0e-3, permeability=1.02, density=7900,
        melting=1400, melting_source="solidus: ASM, from memory",
        thermal_conductivity=14.9, heat_capacity=477,
        thermal_source="AISI 304 at 300 K: Incropera and DeWitt, table A.1, from memory",
        source="1.4301, 730 nohm*m and density: EN 10088-1, from memory; coefficient from the values at 20 and 650 "
        "degC: ASM, from memory",
        note="1.37 to 1.45 MS/m (720 nohm*m in ASM, 690 in textbook tables); permeability 1.0 to 1.05 annealed, "
        "several times that where cold-worked",
    ),
    Material(
        "titanium", 1.79e6, 3.5e-3, density=4510,
        melting=1668, melting_source="CRC, from memory",
        thermal_conductivity=16.4, heat_capacity=523, thermal_source="grade 2: ASM, from memory",
        source="commercially pure, grade 2, 560 nohm*m: ASM, from memory",
        note="420 nohm*m where pure (CRC, from memory) to 600 by grade; the coefficient is good to some 15 %",
    ),
)  # fmt: skip

MATERIALS: dict[str, Material] = {metal.name: metal for metal in _LIBRARY}
