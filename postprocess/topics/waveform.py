"""The words, tables and record of a waveform: what a current of many harmonics costs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.chapter import Json
from crosscurrent.postprocess.answers.noise import figure, with_bar, within
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering, temperatures
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.time.harmonics import HarmonicLoss
from crosscurrent.solver.time.spectrum import MOST, Samples

from .coils import unnamed

LISTED = 12  # harmonics in the table
NOTHING = 1e-5  # share of the loss below which a harmonic is not listed
NO_CURRENT = 1e-9  # share of the current that counts as none in what circuits share
NOTABLE = 0.01  # share of the loss from which on what is left out is warned of


@dataclass(frozen=True, eq=False)
class WaveformAnswer:
    """The losses of a current with where they came from.

    Attributes
    ----------
    problem : Problem
    circuits : tuple of str
        That carry it.
    length : float or None
        Of the run [m].
    loss : HarmonicLoss
    samples : Samples or None
    text : str
        The file of samples as it was read.
    wanted : float
        Relative bound asked for.
    """

    problem: Problem
    circuits: tuple[str, ...]
    length: float | None
    loss: HarmonicLoss
    samples: Samples | None = None
    text: str = ""
    wanted: float = math.inf

    @property
    def names(self) -> list[str]:
        """Of the conductors."""
        return [c.name for c in self.problem.conductors]

    @property
    def shared(self) -> dict[str, FloatArray]:
        """Rms current of every harmonic in the conductors that several of the circuits share, each (m,) [A].

        Strands that are solved for count as the bundle they are; what is left of currents that cancel is none.
        """
        least, feeds = NO_CURRENT * self.loss.spectrum.rms, self.problem.feeds
        found = {
            name: np.abs(self.loss.currents[:, own].sum(axis=1))
            for name, own in self.members.items()
            if len(set(feeds.get(self.names[own[0]], ())) & set(self.circuits)) > 1
        }
        return {name: np.where(current > least, current, 0.0) for name, current in found.items()}

    @property
    def members(self) -> dict[str, list[int]]:
        """Numbers of the conductors that each bundle of strands solved for is; of any other, its own."""
        whole = {member: bundle.name for bundle in self.problem.bundles for member in bundle.members}
        found: dict[str, list[int]] = {}
        for k, name in enumerate(self.names):
            found.setdefault(whole.get(name, name), []).append(k)
        return found

    @property
    def sine(self) -> float:
        """Loss of a sine of the same rms current at the lowest frequency, single circuits only in proportion [W/m]."""
        spectrum = self.loss.spectrum
        first = int(np.where(spectrum.frequency > 0, spectrum.frequency, np.inf).argmin())
        return float(self.loss.losses[first].sum() * (spectrum.rms / abs(spectrum.phasors[first])) ** 2)


def record(found: WaveformAnswer) -> dict[str, Json]:
    """The numbers of the chapter."""
    loss, length = found.loss, found.length
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
            name: {
                "rms_current_a": rms(current),
                "loss_w_per_m": float(row.sum()),
                "loss_error_w_per_m": float(bar.sum()),
            }
            for name, row, bar, current in zip(
                found.names, loss.losses.T, loss.errors.T, np.abs(loss.currents.T), strict=True
            )
        },
        "harmonics": [
            {
                "frequency_hz": float(f),
                "current_a": [float(i.real), float(i.imag)],
                "loss_w_per_m": float(row.sum()),
                "loss_share": float(share),
                "shared_current_a": {name: float(current[k]) for name, current in found.shared.items()},
            }
            for k, (f, i, row, share) in enumerate(
                zip(spectrum.frequency, spectrum.phasors, loss.losses, loss.shares, strict=True)
            )
        ],
    }


def rms(currents: FloatArray) -> float:
    """Of a current of harmonics (m,) [A]."""
    return float(np.sqrt((currents**2).sum()))


def by_harmonic(found: WaveformAnswer) -> TextTable:
    """The current harmonic by harmonic, the strongest ones."""
    loss, spectrum = found.loss, found.loss.spectrum
    lost, noise = loss.losses.sum(1).tolist(), loss.errors.sum(1).tolist()
    square = (loss.circuits * abs(spectrum.phasors) ** 2).tolist()
    strongest = np.argsort(-loss.shares)[:LISTED]
    strongest = np.sort(strongest[loss.shares[strongest] > NOTHING])
    rows = [
        (
            concise(float(spectrum.frequency[k]), "Hz") if spectrum.frequency[k] else "direct current",
            engineering(float(abs(spectrum.phasors[k])), "A"),
            f"{100 * abs(spectrum.phasors[k]) / spectrum.rms:.3g} %",
            figure(lost[k], noise[k], "W/m"),
            f"{100 * loss.shares[k]:.3g} %",
            figure(lost[k] / square[k], noise[k] / square[k], "ohm/m") if spectrum.phasors[k] else "-",
            *(
                engineering(float(current[k]), "A") if current[k] else "none"
                for current in found.shared.values()
            ),
        )
        for k in strongest
    ]
    more = len(spectrum.frequency) - len(rows)
    if more:
        others = float(loss.total - loss.losses[strongest].sum())
        share = f"{100 * others / loss.total:.2g} %"
        rest = figure(others, sum(noise) - float(loss.errors[strongest].sum()), "W/m")
        rows.append((f"{more} more harmonics", "-", "-", rest, share, "-", *["-"] * len(found.shared)))
    within = [f"in {name}" for name in found.shared]
    columns = ("harmonic", "current (rms)", "of the rms", "loss", "of the loss", "R", *within)
    warm = [c.temperature for c in found.problem.conductors]
    heading = f"The current harmonic by harmonic (per metre, all conductors, {temperatures(min(warm), max(warm))})"
    return TextTable(heading, columns, tuple(rows))


def by_conductor(found: WaveformAnswer) -> TextTable:
    """The loss of each conductor; strands that are solved for count as the bundle they are."""
    loss, members = found.loss, found.members
    least = NO_CURRENT * loss.spectrum.rms
    rows = []
    for name, own in members.items():
        current = rms(np.abs(loss.currents[:, own].sum(axis=1)))
        lost, bar = float(loss.losses[:, own].sum()), float(loss.errors[:, own].sum())
        rows.append((name, engineering(current, "A") if current > least else "none", *_with_bar(lost, bar)))
    columns = ("conductor", "current (rms)", "loss", "+-")
    return TextTable("Loss of the waveform in each conductor (per metre)", columns, tuple(rows))


def _with_bar(loss: float, bar: float) -> tuple[str, str]:
    return figure(loss, bar, "W/m"), "-" if loss <= bar else engineering(bar, "W/m", 1)


def sentences(found: WaveformAnswer) -> Iterator[str]:
    """What it means."""
    loss, spectrum = found.loss, found.loss.spectrum
    who = ", ".join(found.circuits)
    yield (
        f"{who}: {engineering(spectrum.rms, 'A')} rms of {len(spectrum.frequency)} harmonics cost "
        f"{with_bar(loss.total, loss.error / loss.total, 'W/m')}, a resistance of "
        f"{figure(loss.resistance, within(loss.resistance, loss.error / loss.total), 'ohm/m')}"
    )
    for name, currents in found.shared.items():
        if not currents.any():
            yield f"the currents of {who} cancel in {name}, which carries none"
            continue
        most = int(currents.argmax())
        yield (
            f"{name} carries the sum, {engineering(rms(currents), 'A')} rms, most of it "
            f"{engineering(float(currents[most]), 'A')} at {concise(float(spectrum.frequency[most]), 'Hz')}"
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
    yield from unnamed(found.problem, found.circuits, "here")


def warnings(found: WaveformAnswer) -> Iterator[str]:
    """Where what was left out matters; what strands leave open no mesh lessens, and the bar says it."""
    loss = found.loss
    reached = float(loss.of_mesh.sum() / loss.losses.sum()) if loss.losses.any() else 0.0
    if reached > found.wanted:
        yield (
            f"the wanted bound of {100 * found.wanted:.2g} % was not reached for the loss of the waveform: "
            f"{100 * reached:.2g} %; the error bars show what was reached"
        )
    if loss.rest > NOTABLE * loss.total:
        yield (
            f"the waveform was cut off after {len(loss.spectrum.frequency) - 1} harmonics (at most {MOST}); what is "
            f"left out may cost {100 * loss.rest / loss.total:.2g} % more: smooth the noise of the samples, or give "
            "edges their true rise time"
        )
