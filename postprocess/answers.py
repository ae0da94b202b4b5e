"""The numbers of one frequency, under the names every output uses. SI, rms, per metre of run."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt


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
    layers: dict[str, LayerAnswer] = field(default_factory=dict)
    faces: tuple[FaceAnswer, ...] = ()
    sentence: str = ""


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
