"""What is to be solved: conductors with their metals, and the circuits that feed them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, same
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.geometries.fixed import Fixed
from crosscurrent.geometries.plane.axial import broken, crosses_axis
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.roughness import Model
from crosscurrent.solver.metals.strands import Lay, Strands

Sharing = Literal["free", "equal", "series"]


class CircuitError(CrosscurrentError, ValueError):
    """Circuits that no wiring can make."""


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
    strands : Strands, optional
        What fills the outline in place of solid metal: strands of it, as one medium.
    closed : bool
        Round the axis of a half plane: a ring that nobody cut, without terminals. What crosses the axis is closed.
    """

    part: Part
    material: Material
    temperature: float = 20.0
    coats: tuple[Material, ...] = ()
    roughness: float = 0.0
    bore_coats: tuple[Material, ...] = ()
    pieces: tuple[Material, ...] = ()
    strands: Strands | None = None
    closed: bool = False

    @property
    def all_metals(self) -> tuple[Material, ...]:
        """The metals of its regions: the base metal, the coats outside, the coats in its bores, the pieces."""
        return (self.material, *self.coats, *self.bore_coats, *self.pieces)

    @property
    def metals(self) -> tuple[Material, ...]:
        """The same as they are at its temperature: a magnetisation curve ends at its Curie temperature."""
        return tuple(metal.warmed(self.temperature) for metal in self.all_metals)

    @property
    def is_saturable(self) -> bool:
        """Whether any of its metals has a magnetisation curve."""
        return any(metal.magnetisation is not None for metal in self.metals)

    @property
    def conducts(self) -> bool:
        """Whether any of its metals does: without, it has no terminals."""
        return any(metal.conductivity > 0 for metal in self.all_metals)

    @property
    def is_magnetic(self) -> bool:
        """Whether any of its metals is."""
        return any(metal.is_magnetic for metal in self.metals)

    @property
    def is_strongly_magnetic(self) -> bool:
        """Whether any of its metals is."""
        return any(metal.is_strongly_magnetic for metal in self.metals)

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
        Names of conductors, each group joined in parallel at both ends, or in series; `back` may be empty. Circuits
        may share a group, as three phases share a neutral: it carries the sum of their currents.
    sharing : "free", "equal" or "series"
        "free": parallel conductors share as their impedances say; "equal": transposed, equal currents; "series": each
        carries the whole current one after the other, and their voltages add up.
    shorted : bool
        Its terminals are joined: no voltage stands there, and its current is what the others induce, not `current`.
    parallel : tuple of int
        In series: how many strands of one bundle lie where each of the members does, out first; empty where all are
        conductors by themselves. A `Problem` fills it in.
    """

    name: str
    current: complex
    out: tuple[str, ...]
    back: tuple[str, ...] = ()
    sharing: Sharing = "free"
    shorted: bool = False
    parallel: tuple[int, ...] = ()

    @property
    def turns(self) -> int:
        """How many conductors or bundles carry its current one after the other; 1 where it is shared."""
        if self.sharing != "series":
            return 1
        return round(sum(1 / count for count in self.parallel)) if self.parallel else len(self.members)

    @property
    def members(self) -> tuple[str, ...]:
        """Names of all its conductors, those that carry the current out first."""
        return (*self.out, *self.back)


@dataclass(frozen=True)
class Bound:
    """Conductors that are the strands of one bundle, each solved for.

    Parameters
    ----------
    name : str
        Of the bundle.
    members : tuple of str
        Names of the strands.
    lay : "transposed", "concentric" or "straight"
        Transposed: all carry the same current. Concentric: those of a ring do. Straight: joined at both ends only.
    rings : tuple of int
        Number of the ring of every member.
    take_up : float
        Length of a strand over that of the bundle; the metal of the members is what it is along the run.
    outer : float, optional
        Diameter over the strands with their insulation [m]; that of the circle around them if left out.
    """

    name: str
    members: tuple[str, ...]
    lay: Lay
    rings: tuple[int, ...]
    take_up: float = 1.0
    outer: float | None = None

    @property
    def even(self) -> tuple[tuple[str, ...], ...]:
        """Members that carry the same current."""
        if self.lay == "transposed":
            return (self.members,)
        if self.lay == "straight":
            return tuple((name,) for name in self.members)
        number = dict(zip(self.members, self.rings, strict=True))
        return tuple(tuple(k for k in self.members if number[k] == ring) for ring in sorted(set(self.rings)))


@dataclass(frozen=True, eq=False, repr=False)
class Problem:
    """Conductors and circuits; conductors in no circuit carry only induced currents.

    Parameters
    ----------
    conductors : tuple of Conductor
    circuits : tuple of Circuit
    roughness_model : "gradient", "hammerstad-jensen" or "groiss"
        Which published model turns Rq into a factor; see solver.roughness.
    bundles : tuple of Bound
        Conductors that are strands of one bundle.
    axial : bool
        Whether the section is the half plane r, z round an axis: figures are then per turn or in total, not per metre.
    """

    conductors: tuple[Conductor, ...]
    circuits: tuple[Circuit, ...]
    roughness_model: Model = "gradient"
    bundles: tuple[Bound, ...] = ()
    axial: bool = False

    def __post_init__(self) -> None:
        strands = {name: len(bound.members) for bound in self.bundles for name in bound.members}
        if strands and any(c.sharing == "series" for c in self.circuits):
            circuits = tuple(
                replace(c, parallel=tuple(strands.get(name, 1) for name in c.members)) if c.sharing == "series" else c
                for c in self.circuits
            )
            object.__setattr__(self, "circuits", circuits)

    def __repr__(self) -> str:
        return f"<Problem: conductors {', '.join(self.names)}; circuits {', '.join(c.name for c in self.circuits)}>"

    def __eq__(self, other: object) -> bool:
        return same(self, other)

    __hash__ = None  # type: ignore[assignment]

    @property
    def names(self) -> tuple[str, ...]:
        """Of the conductors, in their order."""
        return tuple(c.name for c in self.conductors)

    @cached_property
    def feeds(self) -> Mapping[str, tuple[str, ...]]:
        """Names of the circuits that every live conductor belongs to: several where they share it."""
        return Fixed(
            {
                name: tuple(c.name for c in self.circuits if name in c.members)
                for name in self.names
                if name in self.live
            }
        )

    def parts(self, circuit: Circuit) -> FloatArray:
        """A circuit's part in the loss of every conductor, (conductors,): of what it shares, as currents squared.

        Examples
        --------
        >>> lines = (Circuit("one", 4.0, ("a",), ("n",)), Circuit("two", 2.0, ("b",), ("n",)))
        >>> from crosscurrent.geometries.plane.shapes import round_bar
        >>> from crosscurrent.solver.metals.materials import MATERIALS
        >>> rods = tuple(Conductor(Part(k, round_bar(0.01)), MATERIALS["copper"]) for k in ("a", "b", "n"))
        >>> Problem(rods, lines).parts(lines[0]).tolist()
        [1.0, 0.0, 0.8]
        """
        square = {c.name: abs(c.current) ** 2 for c in self.circuits}
        own = [circuit.name in self.feeds.get(name, ()) for name in self.names]
        every = [sum(square[user] for user in self.feeds.get(name, ())) for name in self.names]
        return np.array([square[circuit.name] / total if is_own and total else 0.0
                         for is_own, total in zip(own, every, strict=True)])  # fmt: skip

    @property
    def live(self) -> frozenset[str]:
        """Names of the conductors that are in a circuit."""
        return frozenset(name for circuit in self.circuits for name in circuit.members)

    @cached_property
    def section(self) -> Section:
        """The checked section of all conductors."""
        return Section(tuple(c.part for c in self.conductors), self.axial)

    @cached_property
    def outlines(self) -> tuple[Part, ...]:
        """The parts as they are meshed: round an axis those on it begin and end there."""
        return tuple(broken(c.part) if self.axial else c.part for c in self.conductors)

    def outlines_beside(self, other: Problem) -> tuple[Part, ...]:
        """The same, of parts that are those of another problem as that has them: only what differs is looked at."""
        if not self.axial:
            return self.outlines
        every = zip(self.conductors, other.conductors, other.outlines, strict=True)
        return tuple(known if one.part.alike(before.part) else broken(one.part) for one, before, known in every)

    @cached_property
    def lengths(self) -> FloatArray:
        """What figures per metre of every conductor's run are to be multiplied by, (conductors,).

        1 in the plane, where all figures are per metre; round the axis the mean length of a turn [m].
        """
        return np.array([2 * np.pi * _distance(c.part) if self.axial else 1.0 for c in self.conductors])

    @cached_property
    def closed(self) -> tuple[bool, ...]:
        """Whether every conductor has no terminals: closed on itself round the axis, or of nothing that conducts."""
        crosses = (self.axial and crosses_axis(part) for part in self.outlines)
        return tuple(
            not c.conducts or (self.axial and (c.closed or on_axis))
            for c, on_axis in zip(self.conductors, crosses, strict=True)
        )


def _distance(part: Part) -> float:
    """Of the middle of a part's area from the axis [m]; of one that crosses it none."""
    outlines = part.shape.outer, *part.shape.holes
    areas = np.array([outlines[0].area, *(-hole.area for hole in outlines[1:])])
    return float(areas @ [o.centroid[0] for o in outlines] / areas.sum())
