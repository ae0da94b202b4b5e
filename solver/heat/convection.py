"""How much heat moving air takes from a face: published correlations, each used inside its range only.

The numbers come from `ht` and `fluids`; what they do not check, the range, is checked here. A face of a long run
feels gravity in three ways: along the face across the run, along the run, and at right angles to the face. The
coefficient is the largest of the three, as G. D. Raithby and K. G. T. Hollands advise for tilted bodies (Handbook of
Heat Transfer, W. M. Rohsenow et al., 1998, chapter 4; from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

GRAVITY = 9.80665  # [m/s2]
ZERO = 273.15  # [K] at 0 degC
GAS = 287.053  # of dry air [J/(kg K)]: US Standard Atmosphere 1976
HEAT_CAPACITY = 1006.0  # of air from 0 to 150 degC within 1 % [J/(kg K)]: Incropera and DeWitt, table A.4, from memory
SCATTER = 0.2  # of a coefficient about its correlation: common practice for these correlations, no source
LEAST = 0.01  # difference of temperature that counts as none [K]


@dataclass(frozen=True)
class Air:
    """Air at a film temperature.

    Parameters
    ----------
    temperature : float [degC]
    conductivity : float [W/(m K)]
    viscosity : float
        Kinematic [m2/s].
    prandtl : float
    """

    temperature: float
    conductivity: float
    viscosity: float
    prandtl: float

    def grashof(self, length: float, difference: float, gravity: float = GRAVITY) -> float:
        """g (T - T_air) L^3 / (T_film nu^2) for an ideal gas."""
        return gravity * difference * length**3 / ((self.temperature + ZERO) * self.viscosity**2)


@lru_cache(maxsize=4096)
def air_at(temperature: float, altitude: float = 0.0) -> Air:
    """Air at a temperature [degC] and an altitude [m].

    Conductivity, viscosity and pressure are those of the US Standard Atmosphere 1976 (`fluids`), the density that of
    an ideal gas.

    Examples
    --------
    >>> air = air_at(26.85)
    >>> round(1e6 * air.viscosity, 1), round(1e3 * air.conductivity, 1), round(air.prandtl, 3)
    (15.7, 26.3, 0.707)
    """
    from fluids.atmosphere import ATMOSPHERE_1976

    kelvin = temperature + ZERO
    dynamic = float(ATMOSPHERE_1976.viscosity(kelvin))
    conductivity = float(ATMOSPHERE_1976.thermal_conductivity(kelvin))
    density = float(ATMOSPHERE_1976(altitude).P) / (GAS * kelvin)
    return Air(temperature, conductivity, dynamic / density, dynamic * HEAT_CAPACITY / conductivity)


@dataclass(frozen=True)
class Correlation:
    """A published relation.

    Parameters
    ----------
    name, source : str
    low, high : float
        Range of the number it depends on.
    number : str
        That number.
    scatter : float
        Relative.
    """

    name: str
    source: str
    low: float
    high: float
    number: str = "Ra"
    scatter: float = SCATTER

    @property
    def forced(self) -> bool:
        """Whether it is one of blown air."""
        return self.number.startswith("Re")

    def holds(self, value: float) -> bool:
        """Whether a value of its number lies inside the range."""
        return self.low <= value <= self.high


ROUND = Correlation(
    "horizontal cylinder", "S. W. Churchill and H. H. S. Chu, Int. J. Heat Mass Transfer 18, 1049, 1975", 1e-5, 1e12
)
UPRIGHT = Correlation(
    "vertical plate", "S. W. Churchill and H. H. S. Chu, Int. J. Heat Mass Transfer 18, 1323, 1975", 0.1, 1e12
)
UPWARD = Correlation(
    "horizontal plate, warm side up", "W. H. McAdams, Heat Transmission, 1954 (limits: Incropera and DeWitt, from "
    "memory)", 1e4, 1e11,
)  # fmt: skip
DOWNWARD = Correlation(
    "horizontal plate, warm side down", "W. M. Rohsenow, J. P. Hartnett and Y. I. Cho, Handbook of Heat Transfer, "
    "1998, chapter 4 (limits from memory)", 1e3, 1e10,
)  # fmt: skip
BALL = Correlation(
    "sphere", "S. W. Churchill, in Heat Exchanger Design Handbook, 1983 (Incropera and DeWitt, equation 9.35, from "
    "memory)", 0.0, 1e11,
)  # fmt: skip
ACROSS_ROUND = Correlation(
    "air across a cylinder", "S. W. Churchill and M. Bernstein, J. Heat Transfer 99, 300, 1977", 0.2, 1e7, "Re Pr"
)
ACROSS_BALL = Correlation(
    "air across a sphere", "S. Whitaker, AIChE J. 18, 361, 1972 (Incropera and DeWitt, equation 7.56, from memory)",
    3.5, 7.6e4, "Re",
)  # fmt: skip
ALONG_FLAT = Correlation(
    "air along a plate, laminar", "E. Pohlhausen 1921 (Baehr and Stephan, Heat and Mass Transfer)", 100, 5e5, "Re"
)
ALONG_FLAT_TURBULENT = Correlation(
    "air along a plate, turbulent", "H. Schlichting (Baehr and Stephan, Heat and Mass Transfer)", 5e5, 1e7, "Re"
)


@dataclass(frozen=True)
class Face:
    """What a correlation needs to know of a face.

    Parameters
    ----------
    up : float
        Upward part of its outward normal, in the section, -1 .. 1.
    extent : float
        Of the conductor along the face [m].
    girth : float
        Perimeter of the conductor [m].
    is_round : bool
        Whether the whole conductor counts as a cylinder.
    is_ball : bool
        Whether it is a sphere.
    """

    up: float
    extent: float
    girth: float
    is_round: bool
    is_ball: bool = False


@dataclass(frozen=True)
class AirStream:
    """How the run lies in the air.

    Parameters
    ----------
    tilt : float
        Angle of the run above the horizontal [rad].
    length : float
        Of the run [m]; counts where it is not horizontal.
    speed : float
        Of forced air, across the run [m/s]; 0 for none.
    altitude : float [m]
    """

    tilt: float = 0.0
    length: float = 1.0
    speed: float = 0.0
    altitude: float = 0.0


Film = tuple[float, Correlation]  # coefficient [W/(m2 K)] and where it comes from


def film(face: Face, stream: AirStream, surface: float, air: float) -> Film:
    """Coefficient of a face that sees nothing but air.

    Parameters
    ----------
    face : Face
    stream : AirStream
    surface, air : float
        Temperatures [degC].

    Returns
    -------
    coefficient, correlation : float [W/(m2 K)], Correlation

    Notes
    -----
    A horizontal face too small for the range of its plate takes the coefficient of a cylinder of the conductor's
    perimeter. Free and forced air: the larger of both.

    Examples
    --------
    >>> rod = Face(up=0.0, extent=0.1, girth=0.1 * math.pi, is_round=True)
    >>> round(film(rod, AirStream(), 165.0, 23.0)[0], 2)  # Incropera and DeWitt, example 9.4: 7.29 (from memory)
    7.29
    """
    medium = air_at((surface + air) / 2, stream.altitude)
    difference = surface - air
    free = _free(face, stream, medium, math.copysign(max(abs(difference), LEAST), difference))
    if not stream.speed:
        return free
    return max(free, _forced(face, stream, medium), key=lambda found: found[0])


def _free(face: Face, stream: AirStream, medium: Air, difference: float) -> Film:
    if face.is_ball:
        return _sphere(face.girth / math.pi, medium, abs(difference))
    across, along = math.cos(stream.tilt), math.sin(stream.tilt)
    found = []
    if along > 1e-9:
        found.append(_upright(stream.length, along, medium, abs(difference)))
    if across > 1e-9:
        if face.is_round:
            found.append(_cylinder(face.girth / math.pi, across, medium, abs(difference)))
        else:
            level = math.sqrt(max(0.0, 1 - face.up**2))
            if level > 1e-9:
                found.append(_upright(face.extent, across * level, medium, abs(difference)))
            if abs(face.up) > 1e-9:
                found.append(_level(face, across, medium, difference))
    return max((f for f in found if f is not None), key=lambda f: f[0], default=(0.0, UPRIGHT))


def _upright(length: float, part: float, medium: Air, difference: float) -> Film | None:
    from ht.conv_free_immersed import Nu_vertical_plate_Churchill

    grashof = medium.grashof(length, difference, part * GRAVITY)
    if (beyond := grashof * medium.prandtl / UPRIGHT.high) > 1:  # turbulent: as the height at the end of the range
        length, grashof = length / beyond ** (1 / 3), grashof / beyond
    if not UPRIGHT.holds(grashof * medium.prandtl * (1 - 1e-12)):
        return None
    return float(Nu_vertical_plate_Churchill(medium.prandtl, grashof)) * medium.conductivity / length, UPRIGHT


def _cylinder(diameter: float, part: float, medium: Air, difference: float) -> Film | None:
    from ht.conv_free_immersed import Nu_horizontal_cylinder_Churchill_Chu

    grashof = medium.grashof(diameter, difference, part * GRAVITY)
    if not ROUND.holds(grashof * medium.prandtl):
        return None
    return float(Nu_horizontal_cylinder_Churchill_Chu(medium.prandtl, grashof)) * medium.conductivity / diameter, ROUND


def _sphere(diameter: float, medium: Air, difference: float) -> Film:
    from ht.conv_free_immersed import Nu_sphere_Churchill

    grashof = medium.grashof(diameter, difference)
    if (beyond := grashof * medium.prandtl / BALL.high) > 1:  # turbulent: as the size at the end of the range
        diameter, grashof = diameter / beyond ** (1 / 3), grashof / beyond
    return float(Nu_sphere_Churchill(medium.prandtl, grashof)) * medium.conductivity / diameter, BALL


def _level(face: Face, across: float, medium: Air, difference: float) -> Film | None:
    """A strip lying flat: its length is area over perimeter, half its width (R. J. Goldstein et al. 1973)."""
    from ht.conv_free_immersed import Nu_horizontal_plate_McAdams, Nu_horizontal_plate_Rohsenow

    length, part = face.extent / 2, across * abs(face.up)
    grashof = medium.grashof(length, abs(difference), part * GRAVITY)
    assisted = (difference > 0) == (face.up > 0)
    correlation = UPWARD if assisted else DOWNWARD
    if not correlation.holds(grashof * medium.prandtl):
        return _cylinder(face.girth / math.pi, across, medium, abs(difference))
    relation = Nu_horizontal_plate_McAdams if assisted else Nu_horizontal_plate_Rohsenow
    return float(relation(medium.prandtl, grashof, buoyancy=assisted)) * medium.conductivity / length, correlation


def _forced(face: Face, stream: AirStream, medium: Air) -> Film:
    from ht.conv_external import (
        Nu_cylinder_Churchill_Bernstein,
        Nu_horizontal_plate_laminar_Baehr,
        Nu_horizontal_plate_turbulent_Schlichting,
    )

    length = face.girth / math.pi if face.is_round or face.is_ball else face.extent
    reynolds = stream.speed * length / medium.viscosity
    scale = medium.conductivity / length
    if face.is_ball:
        if not ACROSS_BALL.holds(reynolds):
            return 0.0, ACROSS_BALL
        # Nu = 2 + (0.4 Re^(1/2) + 0.06 Re^(2/3)) Pr^0.4 with one viscosity for film and surface
        rise = 0.4 * math.sqrt(reynolds) + 0.06 * reynolds ** (2 / 3)
        return (2 + rise * medium.prandtl**0.4) * scale, ACROSS_BALL
    if face.is_round:
        if not ACROSS_ROUND.holds(reynolds * medium.prandtl):
            return 0.0, ACROSS_ROUND
        return float(Nu_cylinder_Churchill_Bernstein(reynolds, medium.prandtl)) * scale, ACROSS_ROUND
    if ALONG_FLAT.holds(reynolds):
        return float(Nu_horizontal_plate_laminar_Baehr(reynolds, medium.prandtl)) * scale, ALONG_FLAT
    if ALONG_FLAT_TURBULENT.holds(reynolds):
        return float(Nu_horizontal_plate_turbulent_Schlichting(reynolds, medium.prandtl)) * scale, ALONG_FLAT_TURBULENT
    return 0.0, ALONG_FLAT


def openness(gap: float, coefficient: float, conductivity: float) -> float:
    """How freely air rises through a vertical gap open at both ends, against a face that stands alone.

    Parameters
    ----------
    gap : float [m]
    coefficient : float
        Of the face standing alone [W/(m2 K)].
    conductivity : float
        Of the air [W/(m K)].

    Notes
    -----
    A. Bar-Cohen and W. M. Rohsenow, J. Heat Transfer 106, 116, 1984, equal walls: Nu = (576 / Ra'^2 + 2.873 /
    Ra'^0.5)^-0.5 (from memory), over its own limit of a wide gap, Ra'^0.25 / 2.873^0.5,
    which is gap h / k.

    Examples
    --------
    >>> round(openness(0.010, 5.0, 0.027), 2), round(openness(0.002, 5.0, 0.027), 3)
    (0.91, 0.017)
    """
    films = gap * coefficient / conductivity
    return 0.0 if films <= 0 else 1 / math.sqrt(1 + 576 / 2.873**4 / films**6)
