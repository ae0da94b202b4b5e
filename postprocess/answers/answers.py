"""The numbers of one frequency, under the names every output uses. SI, rms, per metre of run."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from weakref import WeakKeyDictionary

import numpy as np
import numpy.typing as npt

from ..geometries.mesh import Mesh, lattice
from ..geometries.outline import FloatArray
from ..solver.circuits import circuit_voltage, currents_and_voltages
from ..solver.exterior import RETURN
from ..solver.flow import Flow
from ..solver.problem import Circuit, Conductor
from ..solver.roughness import MODELS
from ..solver.solve import Solution, surface_factor
from .faces import FaceFlow, face_flows
from .words import where_it_flows

_AREAS: WeakKeyDictionary[Mesh, FloatArray] = WeakKeyDictionary()


@dataclass(frozen=True)
class CircuitAnswer:
    """One circuit, out and back together; None where the current is zero."""

    name: str
    current: complex  # [A rms]
    voltage: complex  # terminal voltage along the run [V/m rms]
    resistance: float | None  # [ohm/m]
    resistance_error: float | None  # relative bound
    inductance: float | None  # [H/m]
    inductance_error: float | None  # relative bound
    reactance: float | None  # [ohm/m]
    dc_resistance: float  # [ohm/m]
    resistance_ratio: float | None  # resistance / dc_resistance
    loss: float  # Re(voltage * conj(current)) [W/m]


@dataclass(frozen=True)
class LayerAnswer:
    """One metal of a conductor: its share of the conductor's current and loss."""

    current_share: float | None
    loss_share: float


@dataclass(frozen=True)
class FaceAnswer:
    """One face of a conductor's outline: what flows nearer to it than to any other face."""

    name: str  # "lower face", "upper right edge", "bore"
    current_share: float | None  # of the conductor's net current; None where that is zero
    loss_share: float
    depth: float  # depth that holds 95 % of the face's |J| [m]


@dataclass(frozen=True)
class RoughnessAnswer:
    """What a rough surface does to a conductor's loss, and what the published models say between them."""

    rq: float  # [m]
    factor: float  # multiplier on the surface resistance, of the model used
    low: float  # lowest of the models
    high: float  # highest of the models


@dataclass(frozen=True)
class ConductorAnswer:
    """One conductor."""

    name: str
    current: complex  # [A rms]
    loss: float  # [W/m]
    loss_error: float  # relative bound
    dc_resistance: float  # [ohm/m]
    loss_ratio: float | None  # loss / (|current|^2 dc_resistance); None where the net current is zero
    skin_depth: float | None  # of its base metal at its temperature [m]; None at 0 Hz
    peak_current_density: float  # largest rms density [A/m2]
    mean_current_density: float  # |current| / area [A/m2]
    force: tuple[float, float]  # time average, per metre [N/m]
    force_error: float  # bound on the error of either component [N/m]
    layers: dict[str, LayerAnswer] = field(default_factory=dict)
    faces: tuple[FaceAnswer, ...] = ()
    sentence: str = ""
    roughness: RoughnessAnswer | None = None


@dataclass(frozen=True, eq=False)
class Answers:
    """Everything one frequency has to say."""

    frequency: float  # [Hz]
    circuits: dict[str, CircuitAnswer]
    conductors: dict[str, ConductorAnswer]
    names: tuple[str, ...]  # row order of the impedance matrix
    impedance: npt.NDArray[np.complex128]  # per conductor, against the common return [ohm/m]
    return_radius: float  # radius of that common return [m]
    total_loss: float  # [W/m]
    power_balance: float  # |loss from J - terminal power| / loss
    elements: int
    unknowns: int
    order: int
    refinements: int
    warnings: tuple[str, ...] = ()

    @property
    def returns_outside(self) -> bool:
        """Whether the conductors' currents do not sum to zero: inductances then depend on where the rest returns."""
        currents = [c.current for c in self.conductors.values()]
        return abs(sum(currents)) > 1e-6 * max(map(abs, currents), default=0.0)


def answers(solution: Solution) -> Answers:
    """Every number of a solution.

    Examples
    --------
    >>> from crosscurrent.geometries.section import Part
    >>> from crosscurrent.geometries.shapes import round_bar
    >>> from crosscurrent.solver.materials import MATERIALS
    >>> from crosscurrent.solver.problem import Circuit, Conductor, Problem
    >>> from crosscurrent.solver.solve import solve
    >>> rod = Conductor(Part("rod", round_bar(0.025)), MATERIALS["copper"])
    >>> found = answers(solve(Problem((rod,), (Circuit("feed", 1.0, ("rod",)),)), 100e3))
    >>> round(found.circuits["feed"].resistance_ratio, 3)
    30.159
    """
    flow = solution.fine
    d = flow.discretisation
    problem = solution.problem
    loss = float(flow.powers.real.sum())
    terminal = float((flow.voltages * flow.currents.conj()).sum().real)
    return Answers(
        frequency=solution.frequency,
        circuits={c.name: _circuit(solution, c) for c in problem.circuits},
        conductors={c.name: _conductor(solution, k) for k, c in enumerate(problem.conductors)},
        names=tuple(c.name for c in problem.conductors),
        impedance=flow.fields.impedance,
        return_radius=float(RETURN * d.mesh.radius),
        total_loss=loss,
        power_balance=abs(loss - terminal) / loss if loss else 0.0,
        elements=len(d.mesh.triangles),
        unknowns=d.elements.count,
        order=d.order,
        refinements=solution.refinements,
        warnings=solution.warnings,
    )


def _circuit(solution: Solution, circuit: Circuit) -> CircuitAnswer:
    flow = solution.fine
    names = [c.name for c in solution.problem.conductors]
    resting = np.diag(1 / flow.discretisation.conductance).astype(complex)
    voltage = complex(flow.circuit(circuit))
    # the direct-current resistance: this circuit alone, shared by the conductors' own resistances
    unit = Circuit(circuit.name, 1.0, circuit.out, circuit.back, circuit.sharing)
    _, resting_voltages = currents_and_voltages(resting, names, [unit])
    dc = float(circuit_voltage(unit, names, resting_voltages).real)
    loss = (voltage * circuit.current.conjugate()).real
    if circuit.current == 0:
        return CircuitAnswer(circuit.name, 0j, voltage, None, None, None, None, None, dc, None, loss)
    impedance = voltage / circuit.current
    resistance_error, inductance_error = map(float, solution.circuit_errors(circuit))
    inductance = float(flow.inductance(circuit))
    return CircuitAnswer(
        circuit.name, circuit.current, voltage, impedance.real, resistance_error, inductance, inductance_error,
        impedance.imag, dc, impedance.real / dc, loss,
    )  # fmt: skip


def _conductor(solution: Solution, number: int) -> ConductorAnswer:
    flow = solution.fine
    conductor = solution.problem.conductors[number]
    d = flow.discretisation
    rows = [k for k, (part, _) in enumerate(d.mesh.regions) if part == number]
    current, loss = complex(flow.currents[number]), float(flow.powers[number].real)
    area = _area(d.mesh, rows)
    faces = face_flows(flow, number)
    density = sum(f.density for f in faces)
    net = abs(current) > 1e-9 * density
    dc = 1 / float(d.conductance[number])
    depth = conductor.material.skin_depth(solution.frequency, conductor.temperature)
    largest = _peak_density(flow, rows)
    layers: dict[str, LayerAnswer] = {}
    for row, metal in zip(rows, conductor.metals, strict=True):
        share = float((flow.region_currents[row] / current).real) if net else None
        loss_share = float(flow.region_losses[row]) / loss if loss else 0.0
        layers[_layer_name(metal.name, layers)] = LayerAnswer(share, loss_share)
    return ConductorAnswer(
        name=conductor.name,
        current=current,
        loss=loss,
        loss_error=float(solution.loss_errors[number]),
        dc_resistance=dc,
        loss_ratio=loss / (abs(current) ** 2 * dc) if net else None,
        skin_depth=float(depth) if math.isfinite(depth) else None,
        peak_current_density=largest,
        mean_current_density=abs(current) / area,
        force=(float(flow.force[number, 0]), float(flow.force[number, 1])),
        force_error=float(solution.force_errors[number]),
        layers=layers,
        faces=tuple(_face(f, current if net else 0j, loss) for f in faces),
        sentence=where_it_flows(
            faces, current, largest, abs(current) / area, conductor.part.shape.outer.inscribed_radius
        ),
        roughness=_roughness(solution, conductor),
    )


def _roughness(solution: Solution, conductor: Conductor) -> RoughnessAnswer | None:
    if not conductor.roughness or not solution.frequency:
        return None
    factor = surface_factor(conductor, solution.frequency, solution.problem.roughness_model)
    found = [surface_factor(conductor, solution.frequency, model) for model in MODELS]
    # surface impedance (1 + j) R: the real part of the product is the resistance
    low, high = (float(pick(_resistance(f) for f in found)) for pick in (min, max))
    return RoughnessAnswer(conductor.roughness, float(_resistance(factor)), low, high)


def _resistance(factor: complex) -> float:
    return factor.real - factor.imag


def _area(mesh: Mesh, rows: list[int]) -> float:
    """Of some regions [m2]; kept for as long as the mesh, which all points of a sweep share."""
    areas = _AREAS.get(mesh)
    if areas is None:
        areas = _AREAS[mesh] = mesh.areas()
    return float(areas[np.isin(mesh.region, rows)].sum())


def _layer_name(metal: str, taken: dict[str, LayerAnswer]) -> str:
    """The metal's name; a metal that appears again further out gets its number."""
    count = 1 + sum(name == metal or name.startswith(f"{metal}.") for name in taken)
    return metal if count == 1 else f"{metal}.{count}"


def _face(face: FaceFlow, current: complex, loss: float) -> FaceAnswer:
    share = (face.current / current).real if current else None
    return FaceAnswer(
        face.name, None if share is None else float(share), float(face.loss) / loss if loss else 0.0, float(face.depth)
    )


def _peak_density(flow: Flow, rows: list[int]) -> float:
    """Largest |J| on a fine lattice of every triangle, corners included [A/m2]."""
    d = flow.discretisation
    metal = d.elements.metal
    inside = np.isin(d.mesh.region[metal], rows)
    places = lattice(2 * d.order)[:, 1:] / (2 * d.order)
    electric = d.elements.value(flow.electric, metal[inside], places)
    return float((np.abs(electric * (d.sigma * d.smoothing)[inside][:, None])).max())
