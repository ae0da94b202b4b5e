"""Conductors of a solution cooled by one stream of water: heat, conduction across the section, and flow together."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import groupby
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.heat.balance import CEILING, resistivity_ratio
from crosscurrent.solver.heat.electrothermal import guessed_exponent

from .bores import passages_of
from .circuit import Branch, Stream, WaterCircuit
from .conjugate import with_conduction
from .coolant import Coolant
from .pipe import DRAWN, WaterError
from .turns import lengths

LOWEST_PRESSURE = 5e3  # absolute: water boils there at 33 degC [Pa]
HIGHEST_DROP = 1e7  # that is answered for [Pa]
SHARED = 4  # turns in which the bores of one conductor settle how they share its heat
ROUNDS, SAME = 8, 1e-4  # in which a flow for a limit is found, and its change that ends the search, relative
CLOSE_TO_BOILING = 10.0  # margin below which the water is close to boiling [K]
SPARE = 0.1  # of it, for what two solves may differ by [K]


@dataclass(frozen=True, eq=False)
class WaterHeat:
    """What the water has to take.

    Attributes
    ----------
    solution : Solution
        In which the heat is spread over the sections like this.
    loss, error : (conductors,) float
        And a bound on its error [W/m].
    to_air : (conductors,) float or None
        What leaves otherwise [W/m]; None where nothing does.
    """

    solution: Solution
    loss: FloatArray
    error: FloatArray
    to_air: FloatArray | None = None

    @classmethod
    def of(cls, solution: Solution, to_air: FloatArray | None = None) -> WaterHeat:
        """The losses of a solution; round an axis per metre of each turn."""
        length = lengths(solution.problem)
        away = None if to_air is None else to_air / length
        return cls(solution, solution.fine.powers.real / length, solution.power_errors / length, away)

    @property
    def to_water(self) -> FloatArray:
        """The rest, (conductors,) [W/m]."""
        return self.loss if self.to_air is None else self.loss - self.to_air


@dataclass(frozen=True)
class Supply:
    """A stream of water and the conductors that it passes through.

    Parameters
    ----------
    name : str
        What messages call it.
    conductors : tuple of str
        Names, in the order the water takes them.
    length : float
        Of the run [m]; round an axis every turn has its own.
    inlet : float
        [degC]
    outlet_pressure : float
        Absolute [Pa].
    flow : float or None
        [m3/s]; None: found from the pressure drop.
    pressure_drop : float or None
        [Pa]
    coolant : Coolant
    joined : "series" or "parallel"
    bends : int
        Turns of 90 degrees in each conductor.
    roughness : float
        Of the bores [m].
    """

    name: str
    conductors: tuple[str, ...]
    length: float
    inlet: float
    outlet_pressure: float
    flow: float | None = None
    pressure_drop: float | None = None
    coolant: Coolant = field(default_factory=Coolant)
    joined: Literal["series", "parallel"] = "series"
    bends: int = 0
    roughness: float = DRAWN


@dataclass(frozen=True, eq=False)
class WaterCooling:
    """One stream of water with the heat that it takes.

    Attributes
    ----------
    supply : Supply
    heat : WaterHeat
    circuit : WaterCircuit
        With the heat spread over its bores as conduction has it.
    stream : Stream
    """

    supply: Supply
    heat: WaterHeat
    circuit: WaterCircuit
    stream: Stream

    @property
    def conductors(self) -> tuple[Conductor, ...]:
        """Those the water passes through, at the temperatures they were computed at."""
        return tuple(self.heat.solution.problem.conductors[k] for k in self._rows)

    @cached_property
    def _rows(self) -> list[int]:
        return rows_of(self.supply, self.heat.solution)

    @property
    def loss_error(self) -> float:
        """Bound on the error of the heat, relative."""
        taken = float(self.heat.to_water[self._rows].sum())
        return abs(float(self.heat.error[self._rows].sum()) / taken) if taken else 0.0

    @property
    def to_air(self) -> float | None:
        """Heat of its conductors that does not go into the water [W]."""
        if self.heat.to_air is None:
            return None
        problem, rows = self.heat.solution.problem, self._rows
        if problem.axial:
            return float(self.heat.to_air[rows] @ lengths(problem)[rows])
        return float(self.heat.to_air[rows].sum()) * self.supply.length

    def wall_error(self, branch: Branch) -> float:
        """What the scatter of the film coefficient and the bar of the loss make of the hottest wall [K]."""
        by_film, by_loss = abs(branch.surface - branch.outlet), abs(branch.surface - branch.inlet)
        return branch.scatter * by_film + self.loss_error * by_loss

    @property
    def is_close_to_boiling(self) -> bool:
        """Whether a wall may boil."""
        return self.room_to_boiling(self.stream) < 0

    def room_to_boiling(self, stream: Stream) -> float:
        """What is left of the margin that every wall should have to boiling [K]; negative where it is too small."""
        return min(branch.margin - max(CLOSE_TO_BOILING, self.wall_error(branch)) for branch in stream.branches)

    def flow_for(self, what: Literal["wall", "outlet"], limit: float) -> float | None:
        """Smallest flow [m3/s] for a limit [degC], with the losses and their spread as they would be at that flow.

        None where no flow in the correlations' range is enough.
        """
        if what == "wall":
            return self._settled_flow(lambda circuit: circuit.flow_for_surface(limit))
        return self._settled_flow(lambda circuit: circuit.flow_for_outlet(limit))

    def flow_to_not_boil(self) -> float | None:
        """Smallest flow with room to boiling at every wall [m3/s]; None if there is none."""

        def roomy(stream: Stream) -> float:
            return self.room_to_boiling(stream) - SPARE

        return self._settled_flow(lambda circuit: circuit.flow_where(roomy, "room to boiling"))

    def _settled_flow(self, way: Callable[[WaterCircuit], float]) -> float | None:
        circuit, before = self.circuit, math.inf
        try:
            for _ in range(ROUNDS):
                flow = way(circuit)
                if abs(flow - before) <= SAME * flow:
                    break
                circuit, before = refitted(circuit, flow, self.heat), flow
        except WaterError:
            return None
        return flow


def rows_of(supply: Supply, solution: Solution) -> list[int]:
    """Numbers of the conductors that water passes through."""
    numbers = {c.name: k for k, c in enumerate(solution.problem.conductors)}
    return [numbers[name] for name in supply.conductors]


def cooled(supply: Supply, heat: WaterHeat) -> WaterCooling:
    """The water of one supply with the heat it has to take.

    Raises
    ------
    WaterError
        The flow lies beyond the correlations, no pump gives it, or no pressure is left at the outlet.

    Examples
    --------
    1000 A in a tube of 12 x 1 mm of 3 m with 3 l/min:

    >>> from crosscurrent.geometries.plane.shapes import tube
    >>> from crosscurrent.solver.field.solve import solve
    >>> from crosscurrent.solver.field.alone import alone
    >>> solution = solve(alone(tube(0.012, 0.001), 1000.0, "pipe"), 0.0)
    >>> supply = Supply("water through pipe", ("pipe",), 3.0, 20.0, 2e5, flow=3e-3 / 60)
    >>> found = cooled(supply, WaterHeat.of(solution))
    >>> round(found.stream.heat), round(found.stream.outlet, 1)
    (1497, 27.2)
    """
    problem = heat.solution.problem
    conductors = problem.conductors
    way = lengths(problem).tolist() if problem.axial else [supply.length] * len(conductors)
    rows = rows_of(supply, heat.solution)
    ends = 1 / len(rows) if problem.axial and supply.joined == "series" else 1.0  # turns are of one tube
    passages = tuple(
        passage
        for k in rows
        for passage in passages_of(
            conductors[k], float(heat.to_water[k]), way[k], bends=supply.bends, roughness=supply.roughness,
            turn=way[k] / math.pi if problem.axial else 0.0, ends=ends,
        )
    )  # fmt: skip
    circuit = WaterCircuit(passages, supply.inlet, supply.coolant, supply.joined, supply.outlet_pressure)
    try:
        return WaterCooling(supply, heat, *_settled(circuit, supply, heat.solution))
    except WaterError as error:
        raise WaterError(f"{supply.name}: {error}") from None


def _settled(circuit: WaterCircuit, supply: Supply, solution: Solution) -> tuple[WaterCircuit, Stream]:
    """The circuit with the heat spread over its bores as conduction has it, and its stream."""
    if circuit.outlet_pressure < LOWEST_PRESSURE:
        raise WaterError("nothing is left of the air's pressure at its outlet; give a higher outlet_pressure")
    for _ in range(SHARED if any(p.bore for p in circuit.passages) else 1):
        flow = supply.flow or circuit.flow_for_drop(supply.pressure_drop or math.nan)
        circuit = _conducted(circuit, circuit.at(flow).branches, solution)
    stream = circuit.at(flow)
    if stream.drop > HIGHEST_DROP:
        raise WaterError(
            f"{flow * 6e4:.4g} l/min would take a pressure drop of {stream.drop / 1e5:.0f} bar, which no pump for such "
            "pipes gives; take less flow or a wider bore"
        )
    return circuit, stream


def _conducted(circuit: WaterCircuit, branches: Iterable[Branch], solution: Solution) -> WaterCircuit:
    by_conductor = groupby(branches, key=lambda branch: branch.passage.name)
    return replace(circuit, passages=tuple(p for _, own in by_conductor for p in with_conduction(tuple(own), solution)))


def refitted(circuit: WaterCircuit, flow: float, heat: WaterHeat) -> WaterCircuit:
    """The circuit at another flow [m3/s]: losses follow the temperature of the metal, and conduction spreads them."""
    conductors, branches = heat.solution.problem.conductors, circuit.at(flow).branches
    metal = {branch.passage.name: min(branch.metal, CEILING) for branch in branches}
    warm = np.array([metal.get(c.name, c.temperature) for c in conductors])
    losses = heat.to_water * resistivity_ratio(conductors, warm) ** guessed_exponent(heat.solution)
    wanted = {c.name: float(loss) for c, loss in zip(conductors, losses, strict=True)}
    before: dict[str, float] = {}
    for branch in branches:
        before[branch.passage.name] = before.get(branch.passage.name, 0.0) + branch.passage.loss
    factor = {name: wanted[name] / loss if loss else 1.0 for name, loss in before.items()}
    grown = [replace(branch.passage, loss=factor[branch.passage.name] * branch.passage.loss) for branch in branches]
    changed = (replace(branch, passage=passage) for branch, passage in zip(branches, grown, strict=True))
    return _conducted(circuit, changed, heat.solution)
