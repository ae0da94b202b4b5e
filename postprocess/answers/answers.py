"""The numbers of one frequency, under the names every output uses. SI, rms, per metre of run."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import same
from crosscurrent.geometries.fixed import Fixed
from crosscurrent.solver.elements.exterior import RETURN
from crosscurrent.solver.field.circuits import carried
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.region_metals import surface_factor
from crosscurrent.solver.field.sequences import Sequences, sequences_of
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.strand_density import StrandDensity
from crosscurrent.solver.field.strand_shares import strand_densities
from crosscurrent.solver.metals.roughness import MODELS
from crosscurrent.solver.metals.strand_groups import GroupSkin

from .bundles import NAMED, BundleLosses, bundle_answers, where
from .faces import Crowding, CrowdingReader, FaceFlow
from .mesh_parts import ConductorParts, MeshParts
from .own_figures import own_figures
from .slope_answers import SlopeAnswer
from .units import concise
from .where_it_flows import where_it_flows


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
    loss: float  # Re(voltage * conj(current)) [W/m]; negative where other circuits pass it more power than it loses
    own_loss: float = 0.0  # in the conductors that belong to this circuit alone [W/m]
    own_loss_error: float = 0.0  # relative bound
    own_resistance: float | None = None  # own_loss / |current|^2 [ohm/m]
    own_resistance_error: float | None = None  # relative bound
    own_dc_resistance: float = 0.0  # of the same conductors [ohm/m]
    own_ratio: float | None = None  # own_resistance / own_dc_resistance; None without conductors of its own
    shared: tuple[str, ...] = ()  # its conductors that other circuits use too
    temperature_low: float | None = None  # of its conductors, at which its figures hold [degC]
    temperature_high: float | None = None
    lay_resistance: float | None = None  # that groups of strands which are only twisted add at most [ohm/m]
    turns: int = 1  # in series

    @property
    def laid_resistance(self) -> float | None:
        """That of the terminals at most, as bundles are laid; None where that is not worth a word [ohm/m]."""
        if self.resistance is None or self.lay_resistance is None:
            return None
        return self.resistance + self.lay_resistance if self.lay_resistance > NAMED * self.resistance else None

    @property
    def voltage_error(self) -> float:
        """Bound on the error of the voltage's size, as far as R and L are known [V/m]."""
        parts = (self.resistance, self.resistance_error), (self.reactance, self.inductance_error)
        return abs(self.current) * math.hypot(*((value or 0.0) * (error or 0.0) for value, error in parts))


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
    peak_current_density: float  # largest of the rms densities, in the strands of a bundle [A/m2]
    crest_current_density: float  # the same at its crest, sqrt 2 times as much [A/m2]; as it is at 0 Hz
    mean_current_density: float  # |current| / area of its metal [A/m2]
    force: tuple[float, float]  # time average, per metre [N/m]
    force_error: float  # bound on the error of either component [N/m]
    layers: Mapping[str, LayerAnswer] = field(default_factory=dict)
    faces: tuple[FaceAnswer, ...] = ()
    sentence: str = ""
    roughness: RoughnessAnswer | None = None
    temperature: float | None = None  # at which its figures hold [degC]

    def __post_init__(self) -> None:
        object.__setattr__(self, "layers", Fixed(self.layers))


@dataclass(frozen=True, eq=False, repr=False)
class Answers:
    """Everything one frequency has to say."""

    frequency: float  # [Hz]
    circuits: Mapping[str, CircuitAnswer]
    conductors: Mapping[str, ConductorAnswer]
    names: tuple[str, ...]  # row order of the impedance matrix
    impedance: npt.NDArray[np.complex128] | None  # per conductor, against the common return [ohm/m], where known
    return_radius: float  # radius of that common return [m]
    total_loss: float  # [W/m]
    power_balance: float  # |loss from J - terminal power| / loss
    elements: int
    unknowns: int
    order: int
    refinements: int
    warnings: tuple[str, ...] = ()
    # terminal voltage of each circuit per ampere of each, all others open [ohm/m]
    circuit_impedance: npt.NDArray[np.complex128] | None = None
    sequences: Sequences | None = None  # of three circuits that are the phases of one system
    slopes: tuple[SlopeAnswer, ...] = ()  # over the figures of the case, where it asks
    bundles: Mapping[str, BundleLosses] = field(default_factory=dict)
    axial: bool = False  # of a section round an axis: figures of conductors per turn, of circuits in total

    def __post_init__(self) -> None:
        object.__setattr__(self, "circuits", Fixed(self.circuits))
        object.__setattr__(self, "conductors", Fixed(self.conductors))
        object.__setattr__(self, "bundles", Fixed(self.bundles))

    def __repr__(self) -> str:
        at = concise(self.frequency, "Hz") if self.frequency else "direct current"
        return f"<Answers at {at}: circuits {', '.join(self.circuits)}; conductors {', '.join(self.conductors)}>"

    def __eq__(self, other: object) -> bool:
        return same(self, other)

    __hash__ = None  # type: ignore[assignment]

    @property
    def coupled(self) -> bool:
        """Whether several circuits carry current: their terminals then also count power that passes between them."""
        return sum(c.current != 0 for c in self.circuits.values()) > 1

    @property
    def returns_outside(self) -> bool:
        """Whether the conductors' currents do not sum to zero: inductances then depend on where the rest returns."""
        currents = [] if self.axial else [c.current for c in self.conductors.values()]
        return abs(sum(currents)) > 1e-6 * max(map(abs, currents), default=0.0)


def answers(solution: Solution, parts: MeshParts | None = None) -> Answers:
    """Every number of a solution.

    Parameters
    ----------
    solution : Solution
    parts : MeshParts, optional
        Of a solution on the same mesh, to save time over a sweep; those of another mesh are not used.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.solve import solve
    >>> from crosscurrent.solver.field.alone import alone
    >>> found = answers(solve(alone(round_bar(0.025)), 100e3))
    >>> round(found.circuits["feed"].resistance_ratio, 3)
    30.159
    """
    flow = solution.fine
    own = MeshParts.of(flow, parts)
    crowds = {
        k: CrowdingReader.of(flow.discretisation, own.conductors[k]).read(flow.electric[None])[0]
        for k, conductor in enumerate(solution.problem.conductors)
        if conductor.strands is None
    }
    return answers_with(solution, own, crowds)


def answers_with(
    solution: Solution,
    parts: MeshParts,
    crowds: Mapping[int, Crowding],
    strands: Mapping[int, StrandDensity] | None = None,
    groups: Mapping[str, GroupSkin | None] | None = None,
) -> Answers:
    """Every number of a solution: where the current of solid metal crowds is given, strands and groups may be."""
    flow = solution.fine
    d, problem = flow.discretisation, solution.problem
    loss = float(flow.powers.real.sum())
    terminal = float((flow.voltages * flow.currents.conj()).sum().real)
    densities = strand_densities(solution, strands or {})
    bundles = bundle_answers(solution, densities, groups)
    peaks = {k: Crowding((), dense.peak) for k, dense in enumerate(densities) if dense is not None}
    crowds = {**crowds, **peaks}
    return Answers(
        frequency=solution.frequency,
        circuits={
            c.name: _circuit(solution, c, dc, bundles) for c, dc in zip(problem.circuits, parts.resting, strict=True)
        },
        conductors={
            c.name: _conductor(solution, k, parts.conductors[k], crowds[k], bundles.get(c.name))
            for k, c in enumerate(problem.conductors)
        },
        names=tuple(c.name for c in problem.conductors),
        impedance=flow.impedance,
        return_radius=float(RETURN * d.mesh.radius),
        total_loss=loss,
        power_balance=abs(loss - terminal) / loss if loss else 0.0,
        elements=len(d.mesh.triangles),
        unknowns=d.elements.count,
        order=d.order,
        refinements=solution.refinements,
        warnings=tuple(w.text for w in solution.warnings),
        circuit_impedance=flow.circuit_impedance,
        sequences=sequences_of(solution),
        bundles=bundles,
        axial=problem.axial,
    )


def _circuit(
    solution: Solution, circuit: Circuit, dc: float, bundles: Mapping[str, BundleLosses]
) -> CircuitAnswer:
    flow = solution.fine
    names = [c.name for c in solution.problem.conductors]
    voltage = complex(flow.circuit(circuit))
    current = carried(circuit, names, flow.currents)
    loss = (voltage * current.conjugate()).real
    own = own_figures(solution, circuit)
    warm = [c.temperature for c in solution.problem.conductors if c.name in circuit.members]
    low, high = min(warm), max(warm)
    if circuit.current == 0 or circuit.shorted:
        return CircuitAnswer(
            circuit.name, current, voltage, None, None, None, None, None, dc, None, loss, **own,
            temperature_low=low, temperature_high=high, turns=circuit.turns,
        )  # fmt: skip
    impedance = voltage / circuit.current
    resistance_error, inductance_error = map(float, solution.circuit_errors(circuit))
    inductance = float(flow.inductance(circuit))
    return CircuitAnswer(
        circuit.name, circuit.current, voltage, impedance.real, resistance_error, inductance, inductance_error,
        impedance.imag, dc, impedance.real / dc, loss, **own,
        temperature_low=low, temperature_high=high, lay_resistance=_by_lay(solution.problem, circuit, bundles),
        turns=circuit.turns,
    )  # fmt: skip


def _by_lay(problem: Problem, circuit: Circuit, bundles: Mapping[str, BundleLosses]) -> float | None:
    """What the lay of its own bundles adds to its resistance at most [ohm/m]."""
    own = {name for name in circuit.members if len(problem.feeds[name]) == 1}
    more = [b.loss_high - b.loss for b in bundles.values() if b.loss_high is not None and own.issuperset(b.members)]
    return sum(more) / abs(circuit.current) ** 2 if more else None


def _conductor(
    solution: Solution, number: int, parts: ConductorParts, crowd: Crowding, bundle: BundleLosses | None
) -> ConductorAnswer:
    flow = solution.fine
    conductor = solution.problem.conductors[number]
    d = flow.discretisation
    current, loss = complex(flow.currents[number]), float(flow.powers[number].real)
    faces, largest = crowd.faces, crowd.peak
    net = abs(current) > 1e-9 * sum(f.density for f in faces) if bundle is None else current != 0
    # on the axis itself a ring has no length: what crosses it has no resistance of its own
    no_ring = solution.problem.section.crosses[number] or not conductor.conducts
    dc = 0.0 if no_ring else 1 / float(d.conductance[number])
    depth = conductor.material.skin_depth(solution.frequency, conductor.temperature)
    mean = abs(current) / parts.area if bundle is None else bundle.mean_density
    layers: dict[str, LayerAnswer] = {}
    for row, metal in zip(parts.regions, conductor.metals, strict=True):
        share = float((flow.region_currents[row] / current).real) if net else None
        loss_share = float(flow.region_losses[row]) / loss if loss else 0.0
        layers[_layer_name(metal.name, layers)] = LayerAnswer(share, loss_share)
    return ConductorAnswer(
        name=conductor.name,
        current=complex(flow.region_currents[list(parts.regions)].sum()) if d.closed[number] else current,
        loss=loss,
        loss_error=float(solution.loss_errors[number]),
        dc_resistance=dc,
        loss_ratio=loss / (abs(current) ** 2 * dc) if net and dc else None,
        skin_depth=float(depth) if math.isfinite(depth) else None,
        peak_current_density=largest,
        crest_current_density=largest * (math.sqrt(2) if solution.frequency else 1.0),
        mean_current_density=mean,
        force=(float(flow.force[number, 0]), float(flow.force[number, 1])),
        force_error=float(solution.force_errors[number]),
        layers=layers,
        faces=tuple(_face(f, current if net else 0j, loss) for f in faces),
        sentence=where_it_flows(faces, current, largest, mean, conductor.part.fits)
        if bundle is None
        else where(bundle),
        roughness=_roughness(solution, conductor),
        temperature=conductor.temperature,
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


def _layer_name(metal: str, taken: dict[str, LayerAnswer]) -> str:
    """The metal's name; a metal that appears again further out gets its number."""
    count = 1 + sum(name == metal or name.startswith(f"{metal}.") for name in taken)
    return metal if count == 1 else f"{metal}.{count}"


def _face(face: FaceFlow, current: complex, loss: float) -> FaceAnswer:
    share = (face.current / current).real if current else None
    return FaceAnswer(
        face.name, None if share is None else float(share), float(face.loss) / loss if loss else 0.0, float(face.depth)
    )
