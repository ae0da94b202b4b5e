"""A checked case: what the solver gets, and what the outputs repeat."""

from __future__ import annotations

import cmath
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from ..postprocess.drawing import section_svg
from ..postprocess.units import concise
from ..solver.problem import Circuit, Conductor, Problem
from .checks import Draft
from .drawn import beside
from .faults import CaseError, Fault
from .lines import LineIndex
from .model import CaseData, Common
from .names import Roster
from .waveform import file_faults
from .wording import structural_faults
from .written import as_toml


@dataclass(frozen=True, eq=False, repr=False)
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
    """

    data: CaseData
    source: bytes
    path: Path | None = None

    def __repr__(self) -> str:
        every = self.frequencies
        at = concise(every[0], "Hz") if len(every) == 1 else f"{len(every)} frequencies"
        conductors, circuits = ([row.name for row in rows] for rows in (self.data.conductor, self.data.circuit))
        return f"<Case {self.title!r}: conductors {_few(conductors)}; circuits {_few(circuits)}; {at}>"

    @property
    def title(self) -> str:
        """Its title, or else the name of its file."""
        return self.data.title or (self.path.stem if self.path else "")

    @property
    def length(self) -> float | None:
        """Length of the run [m], when stated."""
        return self.data.length

    @property
    def frequencies(self) -> tuple[float, ...]:
        """All frequencies [Hz], rising."""
        return self.data.frequency.values

    @property
    def accuracy(self) -> float:
        """Wanted relative bound on the error of every loss and resistance."""
        return self.data.accuracy.resistance

    @cached_property
    def warnings(self) -> tuple[str, ...]:
        """What is worth knowing before the answers are used."""
        notes = tuple(dict.fromkeys(note for row in self.data.conductor for note in row.notes))
        open_ended = [circuit for circuit in self._circuits if not circuit.back and circuit.current]
        total = sum(circuit.current for circuit in open_ended)
        if not open_ended or abs(total) <= 1e-9 * max(abs(circuit.current) for circuit in open_ended):
            return notes
        names = ", ".join(f'"{circuit.name}"' for circuit in open_ended)
        return (
            *notes,
            f"the currents do not sum to zero: {abs(total):.6g} A of {names} return outside the section; resistances "
            "hold, inductances are relative to a return at the stated return_radius",
        )

    def _repr_svg_(self) -> str:
        """The section, drawn in a notebook."""
        return section_svg(self.problem().section)

    def problem(self) -> Problem:
        """The conductors, one for each copy, and the circuits, as the solver takes them."""
        return self._problem

    @cached_property
    def _problem(self) -> Problem:
        conductors = tuple(c for row in self.data.conductor for c in self._copies(row))
        return Problem(conductors, self._circuits, self.data.accuracy.roughness)

    def _copies(self, row: Common) -> list[Conductor]:
        materials = Draft({"material": self.data.material}, None).materials
        temperature = self.data.ambient if row.temperature is None else row.temperature
        coats, inside = (tuple(materials[coat.material] for coat in of) for of in (row.plating, row.plating_inside))
        metal, rough = materials[row.material], row.roughness or 0.0
        pieces = tuple(materials[piece.material] for piece in row.clad)
        return [Conductor(part, metal, temperature, coats, rough, inside, pieces) for part in row.parts()]

    @cached_property
    def _circuits(self) -> tuple[Circuit, ...]:
        roster = Roster(self.data.conductor, dict(enumerate(self.data.conductor)))
        return tuple(
            Circuit(
                row.name,
                cmath.rect(row.current, row.phase),
                tuple(name for word in row.out for name in roster.members(word)),
                tuple(name for word in row.back for name in roster.members(word)),
                row.sharing,
            )
            for row in self.data.circuit
        )


def _few(names: Sequence[str]) -> str:
    return ", ".join(names) if len(names) <= 6 else f"{', '.join(names[:5])} and {len(names) - 5} more"


def _as_file(model: CaseData) -> bytes:
    return as_toml(model.model_dump(mode="json", by_alias=True, exclude_defaults=True)).encode()


def checked_case(
    data: Mapping[str, Any], *, source: bytes | None = None, path: Path | None = None, lines: LineIndex | None = None
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
    faults: list[Fault] = []
    model: CaseData | None = None
    try:
        model = CaseData.model_validate(data)
    except ValidationError as error:
        faults += structural_faults(error, data, lines)
    faults += draft.faults()
    if model is None or faults:
        raise CaseError([*faults, *draft.section_faults()], file)
    case = Case(model, _as_file(model) if source is None else source, path)
    faults = [*draft.section_faults(lambda: case.problem().section), *file_faults(case, draft)]
    if faults:
        raise CaseError(faults, file)
    return case
