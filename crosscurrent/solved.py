"""A case with its fields and answers, as every further question finds it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.quantities import as_frequency
from crosscurrent.geometries.arrays import same
from crosscurrent.geometries.errors import UnknownKey
from crosscurrent.geometries.fixed import Fixed
from crosscurrent.postprocess.answers.answers import Answers, CircuitAnswer, ConductorAnswer
from crosscurrent.postprocess.answers.slope_answers import SlopeAnswer
from crosscurrent.postprocess.answers.units import concise
from crosscurrent.postprocess.topics.duty import Course, Service
from crosscurrent.postprocess.topics.waveform import WaveformAnswer
from crosscurrent.solver.band.sweep import Sweep
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.heat.ampacity import State, Unstable


@dataclass(frozen=True, eq=False, repr=False, kw_only=True)
class SolvedCase:
    """A solved case.

    Attributes
    ----------
    case : Case
    points : tuple of Answers
        In the order of case.frequencies.
    solutions : mapping of frequency [Hz] to Solution
        The fields of the frequencies that are drawn.
    warnings : tuple of str
    sweep : Sweep or None
        The reduced model of the sweep, if one serves it.
    states : mapping of frequency [Hz] to State or Unstable
        With [cooling]: the steady temperatures of every solution, or why there are none.
    waveform : WaveformAnswer, str or None
        The losses of [waveform], or why they could not be found.
    courses : tuple of Course
        Every [[duty]] at every frequency asked for one by one.
    service : Service or None
        The temperatures from which a fault begins.
    """

    case: Case
    points: tuple[Answers, ...]
    solutions: Mapping[float, Solution]
    warnings: tuple[str, ...] = ()
    sweep: Sweep | None = None
    states: Mapping[float, State | Unstable] = field(default_factory=dict)
    waveform: WaveformAnswer | str | None = None
    courses: tuple[Course, ...] = ()
    service: Service | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "solutions", Fixed(self.solutions))
        object.__setattr__(self, "states", Fixed(self.states))

    def __eq__(self, other: object) -> bool:
        return same(self, other)

    __hash__ = None  # type: ignore[assignment]

    def at(self, frequency: float | str) -> Answers:
        """The answers at one of the case's frequencies, as text or in Hz.

        Raises
        ------
        UnknownKey
            The case has no such frequency.
        """
        wanted = as_frequency(frequency)
        for point in self.points:
            if point.frequency == wanted:
                return point
        known = ", ".join(concise(p.frequency, "Hz") for p in self.points)
        raise UnknownKey(f"expected one of the case's frequencies ({known}), found {concise(wanted, 'Hz')}")

    def solution_at(self, frequency: float | str) -> Solution:
        """The fields at one of the drawn frequencies, or without a new solve at any within the sweep.

        Parameters
        ----------
        frequency : float [Hz] or str

        Raises
        ------
        UnknownKey
            There is no field at that frequency.
        """
        wanted = as_frequency(frequency)
        if wanted in self.solutions:
            return self.solutions[wanted]
        if self.sweep and self.sweep.frequency[0] <= wanted <= self.sweep.frequency[-1]:
            return self.sweep.solution_at(wanted)
        known = ", ".join(concise(f, "Hz") for f in self.solutions)
        raise UnknownKey(
            f"expected a frequency that is drawn ({known}) or lies in a sweep, found {concise(wanted, 'Hz')}"
        )

    @property
    def asked(self) -> dict[float, Solution]:
        """The frequencies asked for one by one [Hz], with their solutions."""
        listed = self.case.data.frequency.at
        return {f: solution for f, solution in self.solutions.items() if f in listed}

    @property
    def slopes(self) -> Mapping[float, tuple[SlopeAnswer, ...]]:
        """How the answers change with each figure of the case, by frequency [Hz]; empty without [slopes]."""
        return {point.frequency: point.slopes for point in self.points if point.slopes}

    @property
    def circuits(self) -> Mapping[str, CircuitAnswer]:
        """The circuits at the first frequency."""
        return self.points[0].circuits

    @property
    def conductors(self) -> Mapping[str, ConductorAnswer]:
        """The conductors at the first frequency."""
        return self.points[0].conductors
