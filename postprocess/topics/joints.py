"""The words, table and record of joints: their loss beside that of the section, and the run's total."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from crosscurrent.postprocess.answers.answers import CircuitAnswer
from crosscurrent.postprocess.answers.chapter import Json
from crosscurrent.postprocess.answers.noise import figure, or_none, own_resistance_noise, resistance_noise
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering, temperatures

NOT_COMPUTED = -1.0  # noise of a figure that is stated


@dataclass(frozen=True)
class AllowedJoint:
    """Joints of one kind as the user allows for them."""

    name: str
    number: int
    resistance: float  # of one [ohm]

    @property
    def total(self) -> float:
        """Of all of them in a row [ohm]."""
        return self.number * self.resistance


@dataclass(frozen=True)
class JointsAnswer:
    """The joints of one circuit at one frequency.

    Attributes
    ----------
    frequency : float
        [Hz]
    circuit : CircuitAnswer
        That of the section, per metre.
    joints : tuple of AllowedJoint
        Each carries its whole current.
    length : float or None
        Of the run [m].
    coupled : bool
        Whether other circuits carry current too: the run is then that of its own conductors.
    """

    frequency: float
    circuit: CircuitAnswer
    joints: tuple[AllowedJoint, ...]
    length: float | None
    coupled: bool = False

    @property
    def square(self) -> float:
        """Of the current [A2]."""
        return abs(self.circuit.current) ** 2

    @property
    def allowed(self) -> float:
        """Resistance of all joints [ohm]."""
        return sum(joint.total for joint in self.joints)

    @property
    def run(self) -> float | None:
        """Resistance of the run without them [ohm]; None of a circuit that shares all its conductors."""
        resistance = self.circuit.own_resistance if self.coupled else self.circuit.resistance
        resistance = None if self.coupled and not self.circuit.own_dc_resistance else resistance
        return None if self.length is None or resistance is None else resistance * self.length

    @property
    def run_noise(self) -> float:
        """Bound on the error of that resistance [ohm]."""
        per_metre = own_resistance_noise(self.circuit) if self.coupled else resistance_noise(self.circuit)
        return per_metre * (self.length or 0.0)

    @property
    def run_loss(self) -> float | None:
        """Loss of the run without them [W]."""
        loss = self.circuit.own_loss if self.coupled else self.circuit.loss
        return None if self.length is None or self.run is None else loss * self.length

    @property
    def total(self) -> float | None:
        """Resistance of the run with them [ohm]."""
        return None if self.run is None else self.run + self.allowed


def record(found: Sequence[JointsAnswer]) -> dict[str, Json]:
    """The numbers of the chapter."""
    return {"circuits": [_circuit(one) for one in found]}


def _circuit(one: JointsAnswer) -> dict[str, Json]:
    lost = one.allowed * one.square
    return {
        "circuit": one.circuit.name,
        "frequency_hz": one.frequency,
        "joints": [
            {
                "name": joint.name,
                "number": joint.number,
                "resistance_ohm": joint.resistance,
                "loss_w": joint.total * one.square,
            }
            for joint in one.joints
        ],
        "resistance_ohm": one.allowed,
        "loss_w": lost,
        "run_resistance_ohm": one.run,
        "total_resistance_ohm": one.total,
        "total_loss_w": None if one.run_loss is None else one.run_loss + lost,
        "share": None if one.total is None else one.allowed / one.total,
    }


def table(found: Sequence[JointsAnswer]) -> TextTable:
    """Joints of each kind, and the run itself where its length is stated."""
    columns = ("joints", "circuit", "at", "R", "of the total", "loss")
    rows = tuple(row for one in found for row in _rows(one))
    warm = [t for one in found for t in (one.circuit.temperature_low, one.circuit.temperature_high) if t is not None]
    run = f"; the run at {temperatures(min(warm), max(warm))}" if warm else ""
    return TextTable(f"Joints as allowed for (whole run, rms{run})", columns, rows)


def _rows(one: JointsAnswer) -> Iterator[tuple[str, ...]]:
    at = concise(one.frequency, "Hz")
    parts = [(f"{joint.number} x {joint.name}", joint.total, NOT_COMPUTED) for joint in one.joints]
    parts += [("the run itself", one.run, one.run_noise)] if one.run is not None else []
    for label, resistance, noise in parts:
        share = "-" if one.total is None else or_none(f"{100 * resistance / one.total:.3g} %", resistance, noise)
        yield (label, one.circuit.name, at, figure(resistance, noise, "ohm"), share,
               figure(resistance * one.square, noise * one.square, "W"))  # fmt: skip


def sentences(found: Sequence[JointsAnswer]) -> Iterator[str]:
    """What the joints make of the run."""
    for one in found:
        if one.total is not None and one.run_loss is not None:
            run = figure(one.run_loss, one.run_noise * one.square, "W")
            yield (
                f"{one.circuit.name} at {concise(one.frequency, 'Hz')}: the joints make "
                f"{100 * (one.allowed / one.total):.3g} % of {figure(one.total, one.run_noise, 'ohm')} and add "
                f"{engineering(one.allowed * one.square, 'W')} to the run's "
                f"{run}{' in its own conductors' if one.coupled else ''}"
            )
    if any(one.length is None for one in found):
        yield "the run has no length: the joints' share of its resistance cannot be told"
