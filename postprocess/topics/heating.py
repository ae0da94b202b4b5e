"""Heat in time in a work piece as every output says it."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.chapter import Json, Measured
from crosscurrent.postprocess.answers.metal_limits import bound_warnings
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering, significant
from crosscurrent.solver.heat.balance import CEILING
from crosscurrent.solver.heat.convection import ZERO
from crosscurrent.solver.heat.heated_in_coil import HeatedInCoil
from crosscurrent.solver.heat.heating import Heating
from crosscurrent.solver.heat.warm_metal import WarmMetal

from .duty import duration

SHOWN = 121  # times
LISTED = 7  # of them in the table
WARMER = 100.0  # than the field was solved at, from which that is told [K]
Read = Callable[[Heating], Callable[[FloatArray], FloatArray]]
READ: dict[str, Read] = {
    "surface": lambda h: h.surface,
    "mean": lambda h: h.mean,
    "core": lambda h: h.at_core,
    "hottest": lambda h: h.hottest,
    "coldest": lambda h: h.coldest,
}
REACHING = {  # what is told when it reaches the temperature asked for
    "hottest": "hottest point", "surface": "surface, the mean of all its faces,", "mean": "mean", "core": "core",
}  # fmt: skip
WARM = "heat capacity", "thermal conductivity"


@dataclass(frozen=True, eq=False)
class HeatingAnswer:
    """One work piece at one frequency.

    Attributes
    ----------
    frequency : float [Hz]
    until : float, optional
        Temperature that is asked for [degC].
    held : bool
        Whether its power is held, not the currents.
    found : HeatedInCoil, optional
    radius, profile : (n,) float
        From the axis, or the bore, to the surface at the height of the core [m], and the temperature there at the end
        [degC].
    why : str
        Where it could not be followed, the reason.
    """

    name: str
    frequency: float
    until: float | None
    held: bool
    found: HeatedInCoil | None
    radius: FloatArray
    profile: FloatArray
    why: str = ""

    @property
    def at(self) -> str:
        """Its frequency."""
        return concise(self.frequency, "Hz")

    @property
    def run(self) -> Heating:
        """At the finer order."""
        assert self.found is not None
        return self.found.fine

    @cached_property
    def time(self) -> FloatArray:
        """Times that are shown [s]."""
        return np.linspace(0, self.run.duration, SHOWN)

    @cached_property
    def courses(self) -> dict[str, FloatArray]:
        """Temperatures at these times [degC]."""
        return {name: read(self.run)(self.time) for name, read in READ.items()}

    @cached_property
    def errors(self) -> dict[str, float]:
        """Bounds on those at the end [K]: both orders, the loss, and moving air within its scatter."""
        assert self.found is not None
        f, end = self.found, np.array([self.run.duration])
        power = 0.0 if self.held else f.power_error
        bars = {}
        for name, read in READ.items():
            fine, coarse, less, more = (float(read(h)(end)[0]) for h in (f.fine, f.coarse, f.less, f.more))
            start = float(self.courses[name][0])
            air = max(abs(less - coarse), abs(more - coarse))
            bars[name] = 2 * abs(fine - coarse) + power * abs(fine - start) + air
        return bars

    def reached(self, name: str) -> float | None:
        """When one of the temperatures is that asked for [s]; None if it is not."""
        return None if self.until is None else self.run.reaches(READ[name](self.run), self.until)

    @property
    def power(self) -> tuple[float, float]:
        """Loss in it at the start and at the end [W]."""
        return self.run.power(0.0), self.run.power(self.run.duration)


def hottest(answer: HeatingAnswer) -> Measured:
    """The hottest place at the hottest time, for limits [degC]."""
    top, words = float(answer.courses["hottest"].max()), f"{answer.name} at {answer.at}"
    return Measured(top, answer.errors["hottest"], "degC", answer.name, "", answer.frequency, words)


def record(answer: HeatingAnswer) -> dict[str, Json]:
    """The numbers of one work piece; of the whole of it, not per metre."""
    head: dict[str, Json] = {"piece": answer.name, "frequency_hz": answer.frequency}
    if answer.found is None:
        return head | {"reason": answer.why}
    run, around = answer.run, answer.found.surface.surroundings
    begin, end = answer.power
    return head | {
        "time_s": run.duration,
        "power_held": answer.held,
        "total_power_start_w": begin,
        "total_power_end_w": end,
        "ambient_degc": around.ambient,
        "emissivity": around.emissivity,
        "film_w_per_m2_k": around.coefficient,
        "start_degc": float(answer.courses["mean"][0]),
        "until_degc": answer.until,
        "end": {
            name: {"degc": float(course[-1]), "error_k": answer.errors[name]} for name, course in answer.courses.items()
        },
        "reached_s": {name: answer.reached(name) for name in REACHING},
        "total_heat_j": {
            "made": run.made, "kept": run.kept, "radiated": run.radiated, "to_air": run.convected,
            "imbalance": run.imbalance,
        },
        "fields_at_degc": [temperature for temperature, _ in answer.found.solutions],
        "courses": {"time_s": _list(answer.time)} | {f"{n}_degc": _list(c) for n, c in answer.courses.items()},
        "profile": {"r_m": _list(answer.radius), "degc": _list(answer.profile)},
    } | _table_of(answer.found.surface.piece.metal)  # fmt: skip


def _table_of(metal: WarmMetal | None) -> dict[str, Json]:
    return {} if metal is None else {"over_temperature": {
        "degc": _list(metal.temperature - ZERO), "thermal_conductivity_w_per_m_k": _list(metal.conductivity),
        "heat_capacity_j_per_kg_k": _list(metal.basis * metal.capacity),
    }}  # fmt: skip


def _list(values: FloatArray) -> list[Json]:
    return [float(v) for v in values]


def table(answer: HeatingAnswer) -> TextTable:
    """Temperatures at a few times."""
    rows = []
    for k in np.linspace(0, SHOWN - 1, LISTED).round().astype(int).tolist():
        values = (f"{answer.courses[name][k]:.1f}" for name in READ)
        rows.append((duration(float(answer.time[k]), 3), *values))
    begin, end = answer.power
    powers = engineering(begin, "W", 4) if math.isclose(begin, end, rel_tol=5e-4) else (
        f"{engineering(begin, 'W', 4)} to {engineering(end, 'W', 4)}"
    )  # fmt: skip
    columns = ("after", *("surface (mean)" if name == "surface" else name for name in READ))
    return TextTable(f"{answer.name}: {powers} at {answer.at} (degC)", columns, tuple(rows))


def sentences(answer: HeatingAnswer) -> list[str]:
    """How hot it gets, when, and where the heat goes."""
    head = f"{answer.name} at {answer.at}"
    if answer.found is None:
        return [f"{head}: {answer.why}"]
    run, last = answer.run, {name: float(course[-1]) for name, course in answer.courses.items()}
    first, end = (engineering(power, "W", 3) for power in answer.power)
    power = f"{first} at first, {end} at the end," if first != end else first
    lines = [
        f"{head}: {power} bring it from {answer.courses['mean'][0]:.0f} to {_warm(answer, 'mean')} on the mean "
        f"in {duration(run.duration)}: hottest "
        f"point {last['hottest']:.0f}, surface {last['surface']:.0f} in the mean of all its faces, core "
        f"{last['core']:.0f} degC"
    ]
    if answer.until is not None:
        times = {words: answer.reached(name) for name, words in REACHING.items()}
        found = [f"its {k} {'not in this time' if t is None else f'after {duration(t, 3)}'}" for k, t in times.items()]
        said = f"reaches {answer.until:g} degC: {', '.join(found)}"
        if not any(t is not None for t in times.values()):
            said = f"does not reach {answer.until:g} degC anywhere in this time"
        lines.append(f"{answer.name} {said}")
    lines.append(
        f"of {engineering(run.made, 'J', 3)} made in {answer.name} {engineering(run.kept, 'J', 3)} stay in it, "
        f"{engineering(run.radiated, 'J', 3)} are radiated and {engineering(run.convected, 'J', 3)} go to moving air"
    )
    return [*lines, assumption(answer)]


def _warm(answer: HeatingAnswer, name: str) -> str:
    return f"{answer.courses[name][-1]:.0f} degC (+- {significant(max(1.0, answer.errors[name]), 2)} K)"


def assumption(answer: HeatingAnswer) -> str:
    """What it stands in."""
    assert answer.found is not None
    around = answer.found.surface.surroundings
    film = "free air by correlations" if around.coefficient is None else f"a film of {around.coefficient:g} W/(m2 K)"
    return (
        f"{answer.name} is taken to give its heat to surroundings of {around.ambient:g} degC with emissivity "
        f"{around.emissivity:g} and {film}, as if no coil or lining stood around it, which would keep it hotter; bores "
        f"radiate through their ends, closed hollows lose nothing; {_constants(answer.found.surface.piece.metal)}"
    )


def _constants(metal: WarmMetal | None) -> str:
    """What is taken for what it conducts and takes."""
    follows = (False, False) if metal is None else metal.follows
    fixed = ["density", *(name for name, own in zip(WARM, follows, strict=True) if not own)]
    named = " and ".join(filter(None, (", ".join(fixed[:-1]), fixed[-1])))
    alike = f"{named} {'are those' if len(fixed) > 1 else 'is that'} near room temperature at all temperatures"
    if metal is None or not any(follows):
        return alike
    moved = " and ".join(name for name, own in zip(WARM, follows, strict=True) if own)
    low, high = metal.temperature[[0, -1]] - ZERO
    return f"{moved} follow{'s' if sum(follows) == 1 else ''} its table from {low:g} to {high:g} degC; {alike}"


def warnings(answer: HeatingAnswer) -> list[str]:
    """What the reader must know before using it."""
    if answer.found is None:
        return [f"{answer.name}: {answer.why}"]
    found, metal = [], answer.found.conductor.material
    top = max(float(answer.courses["hottest"].max()), 0.0)
    several = len(answer.found.solutions) > 1
    highest = answer.found.solutions[-1][0]
    passed = [
        m for m in answer.found.solutions[0][1].problem.conductors[answer.found.number].all_metals
        if m.is_magnetic and m.ends is not None and float(answer.courses["mean"][0]) < m.ends <= top
    ]  # fmt: skip
    if passed and not several:
        found.append(
            f"{answer.name} passes the Curie temperature of {passed[0].name}, {passed[0].ends:g} degC, where its loss "
            "falls: write fields = 5 and until, or it is heated too fast here"
        )
    elif several:
        found.append(
            f"{answer.name}: its loss follows one temperature, the mean where it sits, at which all of it is taken to "
            f"be; between {len(answer.found.solutions)} fields it is in proportion"
        )
        found += [_past_curie(answer.name, m.name, m.ends, highest) for m in passed[:1] if m.ends is not None]
        warmest = float(answer.courses["mean"].max())
        if warmest > highest + WARMER and not answer.held:
            found.append(
                f"{answer.name}: no field is solved above {highest:g} degC, though its mean reaches {warmest:.0f} "
                f"degC: its loss stays there as at {highest:g} degC; write a higher until, or a shorter time"
            )
    cold = answer.found.conductor.temperature
    if not (passed or several or answer.held) and metal.temperature_coefficient and top > cold + WARMER:
        found.append(
            f"{answer.name}: its loss is that at {cold:.0f} degC all along, though it gets {top:.0f} degC hot: write "
            f"fields = 3 and an until above {cold:.0f} degC, and it follows"
        )
    if top > CEILING and metal.temperature_coefficient and (several or answer.held):
        found.append(
            f"{answer.name}: resistivity is taken as linear up to {top:.0f} degC, and trusted to {CEILING:g} degC: a "
            "metal of your own with its conductivity when hot is better"
        )
    return found + bound_warnings((answer.found.conductor,), (_hottest(answer),))


def _past_curie(name: str, metal: str, curie: float, highest: float) -> str:
    """Whether the fields up to the `highest` temperature show what becomes of the loss there."""
    head = f"{name} passes the Curie temperature of {metal}, {curie:g} degC"
    if highest > curie:
        return f"{head}, from where it counts as air for the field: its loss falls there"
    return f"{head}, where its loss falls: fields up to until, {highest:g} degC, do not show it; write a higher until"


def _hottest(answer: HeatingAnswer) -> Measured:
    value = float(answer.courses["hottest"].max())
    load = f"after heating, {answer.at}"
    return Measured(value, answer.errors["hottest"], "degC", answer.name, load, answer.frequency)


def as_csv(answer: HeatingAnswer) -> str:
    """Temperatures over time."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(("time_s", *(f"{name}_degc" for name in READ)))
    columns = (answer.time, *answer.courses.values())
    writer.writerows([[f"{v:.10g}" for v in row] for row in zip(*(c.tolist() for c in columns), strict=True)])
    return text.getvalue()
