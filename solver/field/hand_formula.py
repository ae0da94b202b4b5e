"""What a hand formula says: a closed form that fits a circuit, or three phases, at one frequency."""

from __future__ import annotations

from dataclasses import dataclass, replace

LARGEST = 0.15  # relative error of its own from which on a formula fits no longer


@dataclass(frozen=True)
class HandFormula:
    """A closed form with its own error; loop or mean of the phases, per metre of run.

    Attributes
    ----------
    circuits : tuple of str
        One, or the three phases whose mean it gives.
    name : str
    after : str
        Its source in short.
    source : str
    resistance : float or None
        [ohm/m]; None where the formula knows none.
    inductance : float or None
        [H/m]; None where the formula knows none.
    resistance_error, inductance_error : float
        Of the formula itself, relative; 0 where it is exact for this very section.
    """

    circuits: tuple[str, ...]
    name: str
    after: str
    source: str
    resistance: float | None = None
    inductance: float | None = None
    resistance_error: float = 0.0
    inductance_error: float = 0.0

    @property
    def exact(self) -> bool:
        """Whether it holds for this very section."""
        return not self.resistance_error and not self.inductance_error

    def fitting(self) -> HandFormula | None:
        """Without the figures whose own error is above `LARGEST`; None where nothing is left.

        Examples
        --------
        >>> rough = HandFormula(("feed",), "plates", "", "", 1e-3, 2e-7, 0.3, 0.1)
        >>> rough.fitting().resistance, rough.fitting().inductance
        (None, 2e-07)
        """
        resistance = self.resistance if self.resistance_error <= LARGEST else None
        inductance = self.inductance if self.inductance_error <= LARGEST else None
        if resistance is None and inductance is None:
            return None
        return replace(
            self,
            resistance=resistance,
            inductance=inductance,
            resistance_error=self.resistance_error if resistance is not None else 0.0,
            inductance_error=self.inductance_error if inductance is not None else 0.0,
        )

    def less_sure(self, error: float) -> HandFormula:
        """With more error of its own, relative."""
        return replace(
            self, resistance_error=self.resistance_error + error, inductance_error=self.inductance_error + error
        )
