"""Joints: resistances the user allows for, their loss beside that of the section, and the run's total."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ..postprocess.cautions import JOINTS
from ..postprocess.chapter import Chapter
from ..postprocess.tables import TextTable
from ..postprocess.units import concise, engineering
from .base import Table
from .fields import Count, JointResistance, Name

if TYPE_CHECKING:
    from .run import Result


class Joint(Table):
    """Joints of one kind, each carrying the whole current of a circuit."""

    name: Name
    circuit: str
    resistance: JointResistance
    number: Count = 1

    @property
    def total(self) -> float:
        """Of all of them in a row [ohm]."""
        return self.number * self.resistance


def chapter(result: Result) -> Chapter | None:
    """Loss of the joints at every frequency asked for one by one; the run with them where its length is stated."""
    joints, length = result.case.data.joint, result.case.length
    if not joints:
        return None
    rows, record, sentences = [], [], []
    for frequency in result.solutions:
        circuits = result.at(frequency).circuits
        for name in dict.fromkeys(joint.circuit for joint in joints):
            own = [joint for joint in joints if joint.circuit == name]
            answer = circuits[name]
            square, allowed = abs(answer.current) ** 2, sum(joint.total for joint in own)
            run = None if length is None or answer.resistance is None else answer.resistance * length
            share = None if run is None else allowed / (run + allowed)
            for joint in own:
                label, loss = f"{joint.number} x {joint.name}", joint.total * square
                rows.append(_row(label, name, frequency, joint.total, loss, None if run is None else run + allowed))
            record.append(
                {
                    "circuit": name,
                    "frequency_hz": frequency,
                    "joints": [_joint(joint, square) for joint in own],
                    "resistance_ohm": allowed,
                    "loss_w": allowed * square,
                    "run_resistance_ohm": run,
                    "total_resistance_ohm": None if run is None else run + allowed,
                    "total_loss_w": None if length is None else answer.loss * length + allowed * square,
                    "share": share,
                }
            )
            if run is not None:
                rows.append(_row("the run itself", name, frequency, run, run * square, run + allowed))
                sentences.append(
                    f"{name} at {concise(frequency, 'Hz')}: the joints make {100 * (share or 0.0):.3g} % of "
                    f"{engineering(run + allowed, 'ohm')} and add {engineering(allowed * square, 'W')} to the run's "
                    f"{engineering(answer.loss * (length or 0.0), 'W')}"
                )
    columns = ("joints", "circuit", "at", "R", "of the total", "loss")
    table = TextTable("Joints as allowed for (whole run, rms)", columns, tuple(rows))
    if length is None:
        sentences.append("the run has no length: the joints' share of its resistance cannot be told")
    return Chapter("joints", "Joints", {"circuits": record}, (table,), tuple(sentences), cautions=(JOINTS,))


def _row(
    label: str, circuit: str, frequency: float, resistance: float, loss: float, total: float | None
) -> tuple[str, ...]:
    share = "-" if total is None else f"{100 * resistance / total:.3g} %"
    return (label, circuit, concise(frequency, "Hz"), engineering(resistance, "ohm"), share, engineering(loss, "W"))


def _joint(joint: Joint, square: float) -> dict[str, Any]:
    return {
        "name": joint.name,
        "number": joint.number,
        "resistance_ohm": joint.resistance,
        "loss_w": joint.total * square,
    }
