"""What a difference between measured and calculated says: causes with amounts, rivals, what would tell them apart."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from crosscurrent.geometries.arrays import FloatArray, IntArray, same

Verdict = Literal["within", "named", "undecided", "none"]
Quantity = Literal["R", "L"]
Way = Literal["short", "lower frequency", "higher frequency", "longer run", "other temperature"]


@dataclass(frozen=True)
class Amount:
    """How much of one thing.

    Attributes
    ----------
    key, name : str
        Of the cause, and of the number of it that this is.
    unit : str
        SI.
    value, error : float
        With one standard uncertainty.
    stated : float
        What the case says; 0 or 1 where nothing is there; of the floor of a meter its bound.
    band : (float, float) or None
        Frequencies that it is of [Hz]; None for all.
    """

    key: str
    name: str
    unit: str
    value: float
    error: float
    stated: float
    band: tuple[float, float] | None = None


@dataclass(frozen=True, eq=False)
class Explained:
    """A cause within an explanation.

    Attributes
    ----------
    key, name : str
    amount : Amount
    shapes : tuple of Amount
        Further numbers of it, such as the corner of a neighbour.
    alike : tuple of Amount
        Other causes that would do the same, each with the amount that does it.
    resistance, reactance : (m,) float
        What it adds to the rest of the explanation [ohm].
    """

    key: str
    name: str
    amount: Amount
    shapes: tuple[Amount, ...]
    alike: tuple[Amount, ...]
    resistance: FloatArray
    reactance: FloatArray

    def __eq__(self, other: object) -> bool:
        return same(self, other)

    __hash__ = None  # type: ignore[assignment]


@dataclass(frozen=True, eq=False)
class Explanation:
    """One, two or three causes together, or none.

    Attributes
    ----------
    causes : tuple of Explained
    misfit : float
        Chi-square of what is left.
    freedom : int
    chance : float
        Of a misfit as large by the uncertainties alone.
    streak : float
        Lag-one correlation of what is left, in standard deviations.
    weight : float
        Its share among all explanations that are left.
    correlations : (k, k) float
        Of the amounts, in the order of the causes.
    resistance, reactance : (m,) float
        Calculated with it [ohm].
    left_resistance, left_reactance : (n,) float
        Measured less that, over the whole uncertainty.
    """

    causes: tuple[Explained, ...]
    misfit: float
    freedom: int
    chance: float
    streak: float
    weight: float
    correlations: FloatArray
    resistance: FloatArray
    reactance: FloatArray
    left_resistance: FloatArray
    left_reactance: FloatArray

    def __eq__(self, other: object) -> bool:
        return same(self, other)

    __hash__ = None  # type: ignore[assignment]

    @property
    def keys(self) -> frozenset[str]:
        """Of its causes."""
        return frozenset(one.key for one in self.causes)


@dataclass(frozen=True)
class Separation:
    """A measurement that would tell two explanations apart.

    Attributes
    ----------
    kind : str
        "short", "lower frequency", "higher frequency", "longer run" or "other temperature".
    at : float
        Frequency [Hz], length [m] or temperature [degC]; 0 of a short at the meter.
    quantity : "R" or "L"
        In which they differ most.
    apart : float
        By how much, in standard uncertainties of a reading there.
    """

    kind: Way
    at: float
    quantity: Quantity
    apart: float


@dataclass(frozen=True)
class Drowned:
    """Where a reading says nothing, since the floor of the meter is as large.

    Attributes
    ----------
    quantity : "R" or "L"
    low, high : float
        Ends of that band [Hz].
    floor : float
        Bound on the offset that is stated, or the offset that was found, of R or of X [ohm].
    stated : bool
    """

    quantity: Quantity
    low: float
    high: float
    floor: float
    stated: bool


@dataclass(frozen=True)
class HeldBand:
    """Where an explanation that does not hold everywhere does: at or above a frequency, or at or below it [Hz]."""

    explanation: Explanation
    above: float | None
    below: float | None


@dataclass(frozen=True, eq=False)
class Diagnosis:
    """What the difference says.

    Attributes
    ----------
    verdict : "within", "named", "undecided" or "none"
        Within the bars; one explanation is left; several are; no cause fits.
    explanations : tuple of Explanation
        Likeliest first: those that are left, or what comes nearest where none fits.
    rejected : HeldBand or None
        The nearest one that fails, where it explains part of the band.
    separation : Separation or None
        What would tell the first two apart.
    frequencies : (m,) float
        Of what is calculated [Hz].
    rows : (n,) int
        Which of them were measured.
    measured_resistance, measured_reactance : (n,) float
        [ohm]
    resistance_uncertainty, reactance_uncertainty : (n,) float
        One standard uncertainty of measured and calculated together [ohm].
    resistance, reactance : (m,) float
        Calculated without any cause [ohm].
    bare : Explanation
        Without any cause.
    tried : int
        Sets of causes that were fitted.
    scatter_freedom : float
        Degrees of freedom that the scatter of rows is known with; infinite if it is stated.
    drowned : tuple of Drowned
    floor_stated : bool
        Whether the floor of the meter is known.
    """

    verdict: Verdict
    explanations: tuple[Explanation, ...]
    rejected: HeldBand | None
    separation: Separation | None
    frequencies: FloatArray
    rows: IntArray
    measured_resistance: FloatArray
    measured_reactance: FloatArray
    resistance_uncertainty: FloatArray
    reactance_uncertainty: FloatArray
    resistance: FloatArray
    reactance: FloatArray
    bare: Explanation
    tried: int
    scatter_freedom: float
    drowned: tuple[Drowned, ...] = ()
    floor_stated: bool = True

    def __eq__(self, other: object) -> bool:
        return same(self, other)

    __hash__ = None  # type: ignore[assignment]

    @property
    def certain(self) -> frozenset[str]:
        """Causes that stand in every explanation that is left."""
        found = [one.keys for one in self.explanations]
        return frozenset.intersection(*found) if found and self.verdict != "none" else frozenset()
