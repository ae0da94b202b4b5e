"""A checked case: what the solver gets, and what the outputs repeat."""

from __future__ import annotations

import cmath
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from pydantic import BaseModel, ValidationError

from crosscurrent.geometries.plane.axial import whole_part
from crosscurrent.geometries.plane.part import Part
from crosscurrent.postprocess.answers.units import concise
from crosscurrent.postprocess.workshop.section_svg import section_svg
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.metals.materials import Material

from . import checks
from .amount import amount_faults
from .bundles import BundleConductor
from .conductors import ConductorTable
from .draft import Draft
from .drawings import beside
from .faults import CaseError, Fault
from .lines import LineIndex
from .measured import measured_faults
from .model import CaseData
from .names import Roster
from .returns import unreturned
from .rings import doubtful
from .samples import file_faults
from .wording import structural_faults
from .written import as_toml


@dataclass(frozen=True, repr=False)
class Case:
    """A whole case, read and checked.

    Parameters
    ----------
    data : CaseData
        Its tables, all quantities in SI units.
    source : bytes
        The case file as it lies on disk; for a case made in Python the case file that says the same.
    path : Path or None
        Where the file lies.
    scaled : float
        Factor on the currents of the file, for the power that it wants.
    """

    data: CaseData
    source: bytes
    path: Path | None = None
    scaled: float = 1.0

    __hash__ = None  # type: ignore[assignment]

    def __repr__(self) -> str:
        every = self.frequencies
        at = concise(every[0], "Hz") if len(every) == 1 else f"{len(every)} frequencies"
        conductors = [row.name for row in self.data.conductor]
        circuits = [*(row.name for row in self.data.circuit), *(row.name for row in self.data.coil)]
        return f"<Case {self.title!r}: conductors {_few(conductors)}; circuits {_few(circuits)}; {at}>"

    @property
    def title(self) -> str:
        """Its title, or else the name of its file."""
        return self.data.title or (self.path.stem if self.path else "")

    @property
    def folder(self) -> Path:
        """The folder from which its files are counted."""
        return self.path.parent if self.path else Path()

    @property
    def axial(self) -> bool:
        """Whether its section is the half plane r, z round an axis."""
        return self.data.symmetry == "axial"

    @property
    def length(self) -> float | None:
        """Length of the run [m], when stated."""
        return self.data.length

    @property
    def frequencies(self) -> tuple[float, ...]:
        """All frequencies [Hz], rising."""
        return self.data.frequency.values

    @property
    def zoomed(self) -> tuple[str, ...]:
        """The conductors among which the zoom of a picture is to look; empty where that is left to the picture."""
        roster = Roster(self.data.conductor, dict(enumerate(self.data.conductor)))
        return tuple(name for word in self.data.pictures.zoom for name in roster.members(word))

    @property
    def accuracy(self) -> float:
        """Wanted relative bound on the error of every loss and resistance."""
        return self.data.accuracy.resistance

    @cached_property
    def warnings(self) -> tuple[str, ...]:
        """What is worth knowing before the answers are used."""
        notes = tuple(dict.fromkeys(note for row in self.data.conductor for note in row.notes))
        if self.axial:
            return (*notes, *doubtful(self.data.conductor, self.problem()))
        return (*notes, *unreturned(self.data, self._circuits, self.folder))

    def _repr_svg_(self) -> str:
        """The section, drawn in a notebook."""
        return section_svg(self.problem().section)

    def problem(self) -> Problem:
        """The conductors, one for each copy, and the circuits, as the solver takes them."""
        return self._problem

    @property
    def envelopes(self) -> tuple[Part, ...]:
        """What stands in the section as it is seen from outside: bundles whole, with what they are served with [m]."""
        return tuple(part for row in self.data.conductor for part in row.envelope())

    @property
    def served(self) -> tuple[Part, ...]:
        """Bundles in silk or tape: outlines of their strands, the serving as a coat [m]."""
        bundles = (row for row in self.data.conductor if isinstance(row, BundleConductor) and row.serving)
        return tuple(part for row in bundles for part in row.envelope())

    @cached_property
    def _problem(self) -> Problem:
        conductors = tuple(c for row in self.data.conductor for c in self._copies(row))
        bundles = tuple(bound for row in self.data.conductor for bound in row.bound)
        return Problem(conductors, self._circuits, self.data.accuracy.roughness, bundles, self.axial)

    def _copies(self, row: ConductorTable) -> list[Conductor]:
        materials = Draft({"material": self.data.material}, None).materials
        temperature = self.data.ambient if row.temperature is None else row.temperature
        coats, inside = (tuple(materials[coat.material] for coat in of) for of in (row.plating, row.plating_inside))
        metal, rough = _along(materials[row.material], row.lengthened), row.roughness or 0.0
        pieces = tuple(materials[piece.material] for piece in row.clad)
        return [
            Conductor(
                whole_part(part) if self.axial else part,
                metal,
                temperature,
                coats,
                rough,
                inside,
                pieces,
                row.filling,
                row.closed,
            )
            for part in row.parts()
        ]

    @cached_property
    def _circuits(self) -> tuple[Circuit, ...]:
        roster = Roster(self.data.conductor, dict(enumerate(self.data.conductor)))

        def named(words: Sequence[str]) -> tuple[str, ...]:
            return tuple(name for word in words for name in roster.members(word))

        circuits = (
            Circuit(row.name, cmath.rect(row.current, row.phase), named(row.out), named(row.back), row.sharing)
            for row in self.data.circuit
        )
        coils = (
            Circuit(
                row.name,
                cmath.rect(row.current or 0.0, row.phase),
                tuple(name for name in named(row.turns) if name not in named(row.reversed)),
                named(row.reversed),
                "series",
                row.shorted,
            )
            for row in self.data.coil
        )
        return (*circuits, *coils)

    def with_currents(self, factor: float) -> Case:
        """The same with all currents times a factor."""
        if factor == 1.0:
            return self
        circuits = tuple(row.model_copy(update={"current": factor * row.current}) for row in self.data.circuit)
        coils = tuple(
            row if row.current is None else row.model_copy(update={"current": factor * row.current})
            for row in self.data.coil
        )
        data = self.data.model_copy(update={"circuit": circuits, "coil": coils})
        return replace(self, data=data, scaled=self.scaled * factor)

    @property
    def heated(self) -> tuple[str, ...]:
        """Pieces that are heated on purpose: those that [power] names, or else all in no circuit that conduct."""
        roster = Roster(self.data.conductor, dict(enumerate(self.data.conductor)))
        words = self.data.power.into if self.data.power else ()
        named = tuple(name for word in words for name in roster.members(word))
        problem = self.problem()
        idle = (c for c in problem.conductors if c.name not in problem.live)
        return named or tuple(c.name for c in idle if c.material.conductivity > 0)

    @cached_property
    def turns(self) -> Mapping[str, tuple[str, ...]]:
        """Names of the turns of every coil, in the order of the current."""
        roster = Roster(self.data.conductor, dict(enumerate(self.data.conductor)))
        return {c.name: tuple(name for word in c.turns for name in roster.members(word)) for c in self.data.coil}


def _along(metal: Material, lengthened: float) -> Material:
    """What a metal is along the run where wires of it are longer than the run."""
    if lengthened == 1:
        return metal
    density = None if metal.density is None else metal.density * lengthened
    source = f"{metal.source}; along the run, by the take-up {lengthened:.4g} of its strands"
    return replace(metal, conductivity=metal.conductivity / lengthened, density=density, source=source)


def _few(names: Sequence[str]) -> str:
    return ", ".join(names) if len(names) <= 6 else f"{', '.join(names[:5])} and {len(names) - 5} more"


def _as_file(model: CaseData) -> bytes:
    return as_toml(model.model_dump(mode="json", by_alias=True, exclude_defaults=True)).encode()


def _dumped(value: object) -> object:
    """Tables for models among other tables, whose names are kept by that."""
    if isinstance(value, BaseModel):
        return value.model_dump(mode="json", by_alias=True, exclude_defaults=True)
    return [_dumped(one) for one in value] if isinstance(value, (list, tuple)) else value


def _is_plain(value: object) -> bool:
    """Whether it can stand in a case file as it is, names and tolerances kept."""
    if isinstance(value, Mapping):
        return all(map(_is_plain, value.values()))
    if isinstance(value, (list, tuple)):
        return all(map(_is_plain, value))
    return type(value) in (str, int, float, bool)


def checked_case(
    data: Mapping[str, object], *, source: bytes | None = None, path: Path | None = None, lines: LineIndex | None = None
) -> Case:
    """A case from its tables, or all their faults.

    Parameters
    ----------
    data : mapping
        As tomllib gives it; models may stand for tables.
    source : bytes, optional
        The file's content; left out for a case made in Python.
    path : Path, optional
    lines : LineIndex, optional

    Raises
    ------
    CaseError
        With every fault there is.
    """
    file = path.name if path else ""
    if path is not None:
        data = beside(data, path.parent)
    draft = Draft(data, lines)
    if too_much := amount_faults(draft):
        raise CaseError(too_much, file)
    faults: list[Fault] = []
    model: CaseData | None = None
    try:
        model = CaseData.model_validate(data, context=draft.context)
    except ValidationError as error:
        faults += structural_faults(error, data, lines)
    folder = path.parent if path else Path()
    faults += [*checks.faults(draft), *file_faults(draft, folder), *measured_faults(draft, folder)]
    if model is not None:
        faults += checks.unused(draft)
    if model is None or faults:
        raise CaseError([*faults, *checks.section_faults(draft)], file)
    if source is None:
        plain = {key: _dumped(table) for key, table in data.items()} if "named" in data else data
        source = as_toml(plain).encode() if _is_plain(plain) else _as_file(model)
    case = Case(model.model_copy(update={"conductor": tuple(draft.conductors.values())}), source, path)
    if faults := checks.section_faults(draft, lambda: case.problem().section):
        raise CaseError(faults, file)
    return case
