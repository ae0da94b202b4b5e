"""What a picture of an axial section says of its coils and of the pieces in them: currents, turns, losses all round."""

from __future__ import annotations

import numpy as np

from crosscurrent.postprocess.answers.answers import Answers, ConductorAnswer
from crosscurrent.postprocess.answers.bundle_sums import whole_conductors
from crosscurrent.postprocess.answers.field_values import reference_phase
from crosscurrent.postprocess.answers.noise import loss_noise, or_none
from crosscurrent.solver.field.circuits import carried
from crosscurrent.solver.field.flow import SteadyFlow

from .style import amount, plain, shortened

NAME = 30  # letters of a name


def axial_notes(flow: SteadyFlow, answers: Answers, most: int) -> list[str]:
    """A line for each coil or turn and for each piece that no circuit feeds, those of largest loss.

    Parameters
    ----------
    flow : SteadyFlow
    answers : Answers
        Of the same flow.
    most : int
        Lines, but for one that says how many more there are.
    """
    every = {c.name: c for c in whole_conductors(answers)}
    found: list[tuple[float, str]] = []
    for circuit in flow.problem.circuits:
        turns = [every.pop(name) for name in (*circuit.out, *circuit.back) if name in every]
        if circuit.sharing == "series" and len(turns) > 1:
            loss = sum(c.loss for c in turns)
            lost = f"{amount(loss, 'W', 3)} in all" if loss else "no loss"
            flowing = _current(flow, carried(circuit, flow.problem.names, flow.currents))
            joined = "in series, shorted" if circuit.shorted else "in series"
            text = f"{len(turns)} turns {joined}, {flowing}, {lost}"
            found.append((loss, f"{shortened(circuit.name, NAME)}: {text}"))
        else:
            found += [_line(flow, answers, c) for c in turns]
    found += [_line(flow, answers, c) for c in every.values()]
    kept = sorted(found, key=lambda pair: -pair[0])[:most] if len(found) > most else found
    lines = [line for _, line in kept]
    return [*lines, f"and {len(found) - most} more, of smaller loss"] if len(found) > most else lines


def _line(flow: SteadyFlow, answers: Answers, c: ConductorAnswer) -> tuple[float, str]:
    conducting = {of.name: any(m.conductivity > 0 for m in of.all_metals) for of in flow.problem.conductors}
    alone = "induced currents alone" if conducting.get(c.name, True) else "no current"
    net = _current(flow, c.current) if c.loss_ratio else alone
    lost = or_none(amount(c.loss, "W", 3), c.loss, loss_noise(c, answers), "no loss")
    return c.loss, f"{shortened(c.name, NAME)}: {net}, {lost} in all"


def _current(flow: SteadyFlow, current: complex) -> str:
    angle = np.degrees(np.angle(current * np.exp(-1j * reference_phase(flow))))
    return f"{amount(abs(current), 'A', 3)} at {plain(round(angle), 3)}°" if current else "no current"
