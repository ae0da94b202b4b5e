"""Water, or water with ethylene glycol: what a pipe calculation needs to know of it.

Water: the IAPWS-95 formulation; mixtures: A. Melinder, Properties of Secondary Working Fluids for Indirect Systems,
IIR, 2010. Both as the library CoolProp gives them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from crosscurrent.geometries.errors import CrosscurrentError

ZERO = 273.15  # 0 degC [K]
ATMOSPHERE = 101_325.0  # [Pa]
MOST_GLYCOL = 0.6  # mass share up to which the mixtures are tabulated
HOTTEST_MIXTURE = 100.0  # [degC]


def atmosphere(altitude: float) -> float:
    """Pressure of the air [Pa] at an altitude [m], up to 11 km: US Standard Atmosphere 1976.

    Examples
    --------
    >>> round(atmosphere(1000.0)), atmosphere(0.0)  # printed: 89 876 Pa
    (89875, 101325.0)
    """
    return float(ATMOSPHERE * (1 - 0.0065 * altitude / 288.15) ** 5.25588)


class CoolantError(CrosscurrentError, ValueError):
    """A coolant outside what is known of it."""


@dataclass(frozen=True)
class Liquid:
    """A liquid at one temperature."""

    density: float  # [kg/m3]
    heat_capacity: float  # [J/(kg K)]
    conductivity: float  # thermal [W/(m K)]
    viscosity: float  # dynamic [Pa s]

    @property
    def prandtl(self) -> float:
        """Viscosity times heat capacity over conductivity [-]."""
        return self.viscosity * self.heat_capacity / self.conductivity


@dataclass(frozen=True)
class Coolant:
    """Water with a mass share of ethylene glycol.

    Parameters
    ----------
    glycol : float
        Mass share, 0 to 0.6.

    Raises
    ------
    CoolantError
        A share outside that range.

    Examples
    --------
    >>> round(Coolant().at(40.0).density, 1)
    992.2
    """

    glycol: float = 0.0

    def __post_init__(self) -> None:
        if not 0 <= self.glycol <= MOST_GLYCOL:
            raise CoolantError(f"glycol: expected a mass share from 0 to {MOST_GLYCOL:g}, found {self.glycol:g}")

    @property
    def name(self) -> str:
        """In words."""
        return f"water with {100 * self.glycol:g} % glycol by mass" if self.glycol else "water"

    @property
    def source(self) -> str:
        """Where its properties come from."""
        return (
            "A. Melinder, Properties of Secondary Working Fluids, IIR, 2010, by CoolProp"
            if self.glycol
            else "IAPWS-95 formulation, by CoolProp"
        )

    @property
    def freezing(self) -> float:
        """Temperature below which it freezes [degC]."""
        return _freezing(self.glycol)

    def boiling(self, pressure: float) -> float:
        """Saturation temperature [degC] at an absolute pressure [Pa], of water: a mixture boils a little later."""
        return _boiling(pressure)

    def at(self, temperature: float, pressure: float = ATMOSPHERE) -> Liquid:
        """The liquid at a temperature [degC] and an absolute pressure [Pa].

        Beyond boiling, and for mixtures beyond 100 degC, the properties stay those at that end: a stream that gets
        there boils, which its temperatures say.
        """
        highest = min(self.boiling(pressure) - 0.01, HOTTEST_MIXTURE if self.glycol else 1e9)
        return _liquid(self.glycol, min(max(temperature, self.freezing + 0.01), highest), pressure)


@lru_cache(maxsize=4096)
def _liquid(glycol: float, temperature: float, pressure: float) -> Liquid:
    from CoolProp.CoolProp import PT_INPUTS, AbstractState

    state = AbstractState("INCOMP", "MEG") if glycol else AbstractState("HEOS", "Water")
    if glycol:
        state.set_mass_fractions([round(glycol, 6)])
    state.update(PT_INPUTS, pressure, temperature + ZERO)
    return Liquid(state.rhomass(), state.cpmass(), state.conductivity(), state.viscosity())


@lru_cache(maxsize=4096)
def _boiling(pressure: float) -> float:
    from CoolProp.CoolProp import PropsSI

    return float(PropsSI("T", "P", pressure, "Q", 0, "Water")) - ZERO


@lru_cache(maxsize=64)
def _freezing(glycol: float) -> float:
    if not glycol:
        return 0.0
    from CoolProp.CoolProp import PropsSI

    return float(PropsSI("T_FREEZE", "T", 300.0, "P", ATMOSPHERE, f"INCOMP::MEG[{glycol:.6f}]")) - ZERO
