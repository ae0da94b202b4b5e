"""What is to be solved: conductors with their metals, and the circuits that feed them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from ..geometries.section import Part, Section
from .materials import Material
from .roughness import Model

Sharing = Literal["free", "equal"]


@dataclass(frozen=True, eq=False)
class Conductor:
    """A part made of a metal at a temperature, with the metals of its coats, inside first.

    Parameters
    ----------
    part : Part
    material : Material
        Of the base metal.
    temperature : float
        Of the whole conductor [degC].
    coats : tuple of Material
        One for each thickness in part.coats.
    roughness : float
        Rq of its surface [m].
    bore_coats : tuple of Material
        One for each thickness in part.bore_coats.
    pieces : tuple of Material
        One for each of part.pieces.
    """

    part: Part
    material: Material
    temperature: float = 20.0
    coats: tuple[Material, ...] = ()
    roughness: float = 0.0
    bore_coats: tuple[Material, ...] = ()
    pieces: tuple[Material, ...] = ()

    @property
    def metals(self) -> tuple[Material, ...]:
        """The metals of its regions: the base metal, the coats outside, the coats in its bores, the pieces."""
        return (self.material, *self.coats, *self.bore_coats, *self.pieces)

    @property
    def name(self) -> str:
        """The name of its part."""
        return self.part.name


@dataclass(frozen=True)
class Circuit:
    """A current that goes out through some conductors and comes back through others.

    Parameters
    ----------
    name : str
    current : complex
        Phasor [A rms], positive out of the page in the `out` conductors.
    out, back : tuple of str
        Names of conductors, each group joined in parallel at both ends; `back` may be empty.
    sharing : "free" or "equal"
        "free": parallel conductors share as their impedances say; "equal": transposed, equal currents.
    """

    name: str
    current: complex
    out: tuple[str, ...]
    back: tuple[str, ...] = ()
    sharing: Sharing = "free"


@dataclass(frozen=True, eq=False)
class Problem:
    """Conductors and circuits; conductors in no circuit carry only induced currents.

    Parameters
    ----------
    conductors : tuple of Conductor
    circuits : tuple of Circuit
    roughness_model : "gradient", "hammerstad-jensen" or "groiss"
        Which published model turns Rq into a factor; see solver.roughness.
    """

    conductors: tuple[Conductor, ...]
    circuits: tuple[Circuit, ...]
    roughness_model: Model = "gradient"

    @cached_property
    def section(self) -> Section:
        """The checked section of all conductors."""
        return Section(tuple(c.part for c in self.conductors))
