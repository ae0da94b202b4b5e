"""The table [waveform] and the chapter "waveform": a current of many harmonics, given one by one or as a period."""

from __future__ import annotations

import cmath
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

import numpy as np
from pydantic import model_validator

from ..postprocess.chapter import Chapter, Measured
from ..postprocess.tables import TextTable
from ..postprocess.units import concise, engineering, error_bar
from ..postprocess.waveform import MOST, HarmonicLoss, Samples, Spectrum, WaveformError, harmonic_loss, read_samples
from ..solver.krylov import SweepError
from ..solver.solve import SolveError
from .base import Table
from .driven import CircuitNames, named_circuits, problem_of
from .faults import Fault
from .fields import Angle, Count, Current, Frequency, fault

if TYPE_CHECKING:
    from .case import Case
    from .checks import Draft
    from .run import Result

OWN_FILES = ("table.csv", "sweep.csv")  # names of a run's own files
LISTED = 12  # harmonics in the table
NOTHING = 1e-5  # share of the loss below which a harmonic is not listed
NOTABLE = 0.01  # share of the loss from which on what is left out is warned of


class Harmonic(Table):
    """A sine of the current [A rms], by its order or its frequency."""

    order: Count | None = None
    frequency: Frequency | None = None
    current: Current
    phase: Angle = 0.0

    @model_validator(mode="after")
    def _one_of_two(self) -> Self:
        if (self.order is None) == (self.frequency is None):
            found = "neither" if self.order is None else "both"
            raise fault("either order or frequency", found, 'write order = 3 or frequency = "255 kHz"')
        return self


class Waveform(Table):
    """The current of one or several circuits: harmonics, or a file with one period."""

    circuit: CircuitNames = ()
    frequency: Frequency | None = None
    harmonics: tuple[Harmonic, ...] = ()
    file: str | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        if bool(self.harmonics) == (self.file is not None):
            found = "both" if self.harmonics else "neither"
            raise fault("either harmonics or a file", found, 'write harmonics = [...] or file = "current.csv"')
        if not self.frequency and (self.file or any(h.order for h in self.harmonics)):
            raise fault("the frequency with which the current repeats", "none", 'write frequency = "85 kHz"')
        places = [h.frequency if h.order is None else h.order * (self.frequency or 0.0) for h in self.harmonics]
        if len(set(places)) < len(places):
            twice = next(p for p in places if places.count(p) > 1)
            raise fault("each harmonic once", f"{concise(twice or 0.0, 'Hz')} a second time", "add them up")
        if self.harmonics and not any(h.current for h in self.harmonics):
            raise fault("a current above 0 A in at least one harmonic", "0 A in all", 'write a current such as "10 A"')
        return self

    @property
    def given(self) -> Spectrum:
        """The harmonics of the list, rising."""
        rows = [
            (h.frequency if h.order is None else h.order * (self.frequency or 0.0), cmath.rect(h.current, h.phase))
            for h in self.harmonics
        ]
        rows.sort(key=lambda row: row[0] or 0.0)
        return Spectrum(np.array([f or 0.0 for f, _ in rows]), np.array([i for _, i in rows]))


def samples_of(case: Case) -> tuple[str, Samples] | None:
    """Text and samples of the file that the case names, None if it names none.

    Raises
    ------
    WaveformError
    """
    table = case.data.waveform
    if table is None or table.file is None or table.frequency is None:
        return None
    path = (case.path.parent if case.path else Path()) / table.file
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        why = "no such file" if isinstance(error, FileNotFoundError) else "one that cannot be read as text"
        raise WaveformError(table.file, "a file beside the case file", why, "check its name") from None
    return text, read_samples(text, table.frequency, path.name)


def file_faults(case: Case, draft: Draft) -> Iterator[Fault]:
    """A file of samples that cannot be used."""
    try:
        samples_of(case)
    except WaveformError as error:
        yield draft.fault(("waveform", "file"), f"in {error.where}: {error.expected}", error.found, error.hint)


@dataclass(frozen=True, eq=False)
class Answered:
    """The losses of a current with where they came from."""

    case: Case
    circuits: tuple[str, ...]
    loss: HarmonicLoss
    samples: Samples | None

    @property
    def names(self) -> list[str]:
        """Of the conductors."""
        return [c.name for c in self.case.problem().conductors]

    @property
    def sine(self) -> float:
        """Loss of a sine of the same rms current at the lowest frequency, single circuits only in proportion [W/m]."""
        spectrum = self.loss.spectrum
        first = int(np.where(spectrum.frequency > 0, spectrum.frequency, np.inf).argmin())
        return float(self.loss.losses[first].sum() * (spectrum.rms / abs(spectrum.phasors[first])) ** 2)


@lru_cache(maxsize=1)  # the water asks too
def answered(result: Result) -> Answered | None:
    """The losses of the waveform, None where the case file has no table [waveform].

    Raises
    ------
    SweepError, SolveError
    """
    case, table = result.case, result.case.data.waveform
    if table is None:
        return None
    read, circuits = samples_of(case), named_circuits(case, table.circuit)
    spectrum = read[1].spectrum(case.accuracy) if read else table.given
    loss = harmonic_loss(problem_of(result), circuits, spectrum, accuracy=case.accuracy)
    return Answered(case, circuits, loss, read[1] if read else None)


def chapter(result: Result) -> Chapter | None:
    """Where the case file has a table [waveform]."""
    try:
        found = answered(result)
    except (SweepError, SolveError) as error:
        return Chapter("waveform", "Waveform", {"loss_w_per_m": None}, warnings=(f"no waveform: {error}",))
    table = result.case.data.waveform
    if found is None or table is None:
        return None
    loss, read, name = found.loss, samples_of(result.case), Path(table.file).name if table.file else ""
    return Chapter(
        "waveform",
        "Waveform",
        _record(found),
        (_by_harmonic(found), _by_conductor(found)),
        tuple(_sentences(found)),
        tuple(_warnings(found)),
        pictures={"waveform": _picture(found)},
        files={name: read[0]} if read and name not in OWN_FILES else {},
        measured={"waveform_loss": (Measured(loss.total, loss.error, "W/m", ", ".join(found.circuits)),)},
    )


def _picture(found: Answered) -> Callable[[], Any]:
    def draw() -> Any:
        from ..postprocess.pictures.waveform import waveform_plot

        return waveform_plot(found.loss, found.samples, found.circuits, found.case.title)

    return draw


def _record(found: Answered) -> dict[str, Any]:
    loss, length = found.loss, found.case.length
    spectrum = loss.spectrum
    return {
        "circuits": list(found.circuits),
        "rms_current_a": spectrum.rms,
        "left_out_rms_a": spectrum.rest,
        "left_out_loss_bound_w_per_m": loss.rest,
        "loss_w_per_m": loss.total,
        "loss_error_w_per_m": loss.error,
        "total_loss_w": None if length is None else loss.total * length,
        "resistance_ohm_per_m": loss.resistance,
        "conductors": {
            name: {"loss_w_per_m": float(row.sum()), "loss_error_w_per_m": float(bar.sum())}
            for name, row, bar in zip(found.names, loss.losses.T, loss.errors.T, strict=True)
        },
        "harmonics": [
            {
                "frequency_hz": float(f),
                "current_a": [float(i.real), float(i.imag)],
                "loss_w_per_m": float(row.sum()),
                "loss_share": float(share),
            }
            for f, i, row, share in zip(spectrum.frequency, spectrum.phasors, loss.losses, loss.shares, strict=True)
        ],
    }


def _by_harmonic(found: Answered) -> TextTable:
    loss, spectrum = found.loss, found.loss.spectrum
    strongest = np.argsort(-loss.shares)[:LISTED]
    strongest = np.sort(strongest[loss.shares[strongest] > NOTHING])
    rows = [
        (
            concise(float(spectrum.frequency[k]), "Hz") if spectrum.frequency[k] else "direct current",
            engineering(float(abs(spectrum.phasors[k])), "A"),
            f"{100 * abs(spectrum.phasors[k]) / spectrum.rms:.3g} %",
            engineering(float(loss.losses[k].sum()), "W/m"),
            f"{100 * loss.shares[k]:.3g} %",
            engineering(float(loss.losses[k].sum() / (loss.circuits * abs(spectrum.phasors[k]) ** 2)), "ohm/m")
            if spectrum.phasors[k]
            else "-",
        )
        for k in strongest
    ]
    more = len(spectrum.frequency) - len(rows)
    if more:
        others = float(loss.total - loss.losses[strongest].sum())
        share = f"{100 * others / loss.total:.2g} %"
        rows.append((f"{more} more harmonics", "-", "-", engineering(others, "W/m"), share, "-"))
    columns = ("harmonic", "current (rms)", "of the rms", "loss", "of the loss", "R")
    return TextTable("The current harmonic by harmonic (per metre, all conductors)", columns, tuple(rows))


def _by_conductor(found: Answered) -> TextTable:
    rows = tuple(
        (name, engineering(float(row.sum()), "W/m"), engineering(float(bar.sum()), "W/m", 1))
        for name, row, bar in zip(found.names, found.loss.losses.T, found.loss.errors.T, strict=True)
    )
    return TextTable("Loss of the waveform in each conductor (per metre)", ("conductor", "loss", "+-"), rows)


def _sentences(found: Answered) -> Iterator[str]:
    loss, spectrum = found.loss, found.loss.spectrum
    who = ", ".join(found.circuits)
    yield (
        f"{who}: {engineering(spectrum.rms, 'A')} rms of {len(spectrum.frequency)} harmonics cost "
        f"{engineering(loss.total, 'W/m')} +- {error_bar(loss.error / loss.total)}, a resistance of "
        f"{engineering(loss.resistance, 'ohm/m')}"
    )
    if len(spectrum.frequency) > 1:
        yield f"that is {loss.total / found.sine:.4g} times a sine of the same rms value at the lowest frequency"
    if spectrum.rest or spectrum.steepness:
        yield (
            f"left out above {concise(float(spectrum.frequency.max()), 'Hz', 4)}: "
            f"{engineering(spectrum.rest, 'A', 2)} rms, which cost at most {engineering(loss.rest, 'W/m', 2)}"
        )
    if len(found.circuits) > 1:
        yield "every circuit carries the same waveform, later by its own phase; R is the mean over them"
    elif len(found.case.problem().circuits) > 1:
        yield "the circuits not named carry no current here"


def _warnings(found: Answered) -> Iterator[str]:
    loss = found.loss
    if loss.rest > NOTABLE * loss.total:
        yield (
            f"the waveform was cut off after {len(loss.spectrum.frequency) - 1} harmonics (at most {MOST}); what is "
            f"left out may cost {100 * loss.rest / loss.total:.2g} % more: smooth the noise of the samples, or give "
            "edges their true rise time"
        )
